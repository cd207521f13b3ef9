// Draws each plot of a page from the data beside it, in the colours of the page; arrow keys go from point to point.
(function () {
  "use strict";

  const MANY = 400;
  const FONT = "15px system-ui, sans-serif";
  const DASHES = [[], [9, 5], [2, 4], [12, 4, 2, 4], [5, 5], [1, 6]];
  const BOX = ["lowest", "lower quarter", "middle", "upper quarter", "highest"];

  function colour(name) {
    return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  }

  function tone(at) {
    return colour("--plot-" + ((at % 6) + 1));
  }

  function day(seconds) {
    return new Date(seconds * 1000).toLocaleDateString("en-US", { year: "numeric", month: "short", day: "numeric", timeZone: "UTC" });
  }

  function nameAt(data, value) {
    return Number.isInteger(value) && value >= 1 && value <= data.names.length ? data.names[value - 1] : "";
  }

  function placeWords(data, value) {
    if (value === null || value === undefined) {
      return "point at the plot";
    }
    return data.axis === "day" ? day(value) : data.axis === "name" ? nameAt(data, Math.round(value)) : String(value);
  }

  function seriesOf(data, one, at) {
    const stroke = tone(at);
    const isFew = one.values.length <= MANY;
    const made = {
      label: one.label, stroke: stroke, width: 2, spanGaps: true, dash: DASHES[at % DASHES.length],
      value: function (u, value) { return value === null || value === undefined ? "" : value + " " + data.unit; },
      points: { show: isFew, size: 8, fill: stroke },
    };
    if (one.shape === "bars") {
      made.paths = window.uPlot.paths.bars({ size: [0.9, 60, 1], align: 0 });
      Object.assign(made, { fill: stroke, dash: [], points: { show: false } });
    } else if (one.shape === "steps") {
      made.paths = window.uPlot.paths.stepped({ align: 1 });
      made.points = { show: false };
    } else if (one.shape === "points") {
      made.paths = function () { return null; };
      made.points = { show: true, size: 7, fill: stroke };
    } else if (one.shape === "low" || one.shape === "high") {
      Object.assign(made, { stroke: tone(1), width: 1, dash: [3, 3], points: { show: isFew, size: 5, fill: tone(1) } });
    } else if (BOX.includes(one.shape)) {
      made.paths = function () { return null; };
      Object.assign(made, { stroke: colour("--ink"), dash: [], points: { show: false } });
    }
    return made;
  }

  // A box from quarter to quarter with its middle, and a line from the lowest to the highest.
  function drawBoxes(u) {
    const ctx = u.ctx;
    const ratio = window.devicePixelRatio || 1;
    const wide = Math.min(70 * ratio, (u.bbox.width / Math.max(1, u.data[0].length)) * 0.6);
    ctx.save();
    u.data[0].forEach(function (place, at) {
      const x = u.valToPos(place, "x", true);
      const [low, lower, middle, upper, high] = [1, 2, 3, 4, 5].map(function (row) { return u.valToPos(u.data[row][at], "y", true); });
      ctx.lineWidth = 2 * ratio;
      ctx.strokeStyle = colour("--ink");
      ctx.fillStyle = tone(0);
      ctx.beginPath(); ctx.moveTo(x, high); ctx.lineTo(x, low); ctx.stroke();
      ctx.fillRect(x - wide / 2, upper, wide, Math.max(lower - upper, ratio));
      ctx.strokeRect(x - wide / 2, upper, wide, Math.max(lower - upper, ratio));
      ctx.strokeStyle = colour("--sheet");
      ctx.lineWidth = 3 * ratio;
      ctx.beginPath(); ctx.moveTo(x - wide / 2 + 2, middle); ctx.lineTo(x + wide / 2 - 2, middle); ctx.stroke();
    });
    ctx.restore();
  }

  function axisOf(data, width) {
    const base = { font: FONT, labelFont: FONT, stroke: colour("--ink"), grid: { stroke: colour("--shade") }, ticks: { stroke: colour("--line") } };
    const along = Object.assign({}, base);
    if (data.axis === "name") {
      const room = width / Math.max(1, data.names.length) > 110;
      along.splits = function () { return data.places; };
      along.values = function (u, splits) { return splits.map(function (one) { return room ? nameAt(data, one).slice(0, 14) : String(one); }); };
      along.grid = { show: false };
    } else if (data.axis === "number") {
      Object.assign(along, { label: data.placeLabel, labelSize: 22 });
    }
    return [along, Object.assign({ size: 64, label: data.unit, labelSize: 22 }, base)];
  }

  function optionsOf(data, width) {
    const isBoxes = data.series.length === 5 && data.series[0].shape === BOX[0];
    const isBand = data.series.findIndex(function (one) { return one.shape === "high"; });
    const scales = { x: { time: data.axis === "day" }, y: { range: function (u, low, high) { return data.fromZero ? [0, high * 1.1 || 1] : [low * 0.95, high * 1.05]; } } };
    if (data.axis === "name") {
      scales.x.range = [0.5, data.names.length + 0.5];
    }
    return {
      width: width,
      height: Math.min(340, Math.max(220, width * 0.45)),
      tzDate: function (seconds) { return window.uPlot.tzDate(new Date(seconds * 1000), "UTC"); },
      scales: scales,
      series: [{ label: data.placeLabel, value: function (u, value) { return placeWords(data, value); } }].concat(
        data.series.map(function (one, at) { return seriesOf(data, one, at); })),
      bands: isBand < 0 ? [] : [{ series: [isBand + 1, isBand + 2], fill: tone(1) + "33" }],
      axes: axisOf(data, width),
      hooks: isBoxes ? { draw: [drawBoxes] } : {},
    };
  }

  function start(place) {
    const source = document.getElementById(place.dataset.plot);
    const said = document.getElementById(place.dataset.plot + "-said");
    if (!source || !window.uPlot) {
      return;
    }
    const data = JSON.parse(source.textContent);
    const columns = [data.places].concat(data.series.map(function (one) { return one.values; }));
    let plot = null;
    let at = -1;

    function draw() {
      if (plot) {
        plot.destroy();
      }
      plot = new window.uPlot(optionsOf(data, place.clientWidth), columns, place);
    }

    function go(to) {
      at = Math.min(data.places.length - 1, Math.max(0, to));
      const first = data.series.findIndex(function (one) { return one.values[at] !== null; });
      const high = first < 0 ? 0 : plot.valToPos(data.series[first].values[at], "y");
      plot.setCursor({ left: plot.valToPos(data.places[at], "x"), top: high });
      said.textContent = [placeWords(data, data.places[at])].concat(data.series.filter(function (one) { return one.values[at] !== null; })
        .map(function (one) { return one.label + " " + one.values[at] + " " + data.unit; })).join(", ");
    }

    place.addEventListener("keydown", function (event) {
      const steps = { ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: data.places.length - 1 };
      if (event.key in steps && !event.ctrlKey && !event.metaKey && !event.altKey) {
        event.preventDefault();
        go(steps[event.key]);
      }
    });
    draw();
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
    let waiting = 0;
    window.addEventListener("resize", function () {
      clearTimeout(waiting);
      waiting = setTimeout(draw, 150);
    });
  }

  document.querySelectorAll("[data-plot]").forEach(start);

  // On paper the table stands in the plot's place.
  window.addEventListener("beforeprint", function () {
    document.querySelectorAll("details.figures:not([open])").forEach(function (one) { one.open = true; one.dataset.printed = ""; });
  });
  window.addEventListener("afterprint", function () {
    document.querySelectorAll("details.figures[data-printed]").forEach(function (one) { one.open = false; delete one.dataset.printed; });
  });
})();
