// Draws an animal's weights over time from the data beside the plot, in the colours of the page.
(function () {
  "use strict";

  const place = document.getElementById("weights-plot");
  const source = document.getElementById("weights");
  if (!place || !source || !window.uPlot) {
    return;
  }
  const data = JSON.parse(source.textContent);
  let plot = null;

  function colour(name) {
    return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  }

  function day(seconds) {
    return new Date(seconds * 1000).toLocaleDateString("en-US", {
      year: "numeric", month: "short", day: "numeric", timeZone: "UTC",
    });
  }

  function draw() {
    if (plot) {
      plot.destroy();
    }
    const font = "15px system-ui, sans-serif";
    const axis = { font: font, labelFont: font, stroke: colour("--ink"), grid: { stroke: colour("--shade") }, ticks: { stroke: colour("--line") } };
    plot = new window.uPlot(
      {
        width: place.clientWidth,
        height: Math.min(320, Math.max(200, place.clientWidth * 0.45)),
        tzDate: function (seconds) { return window.uPlot.tzDate(new Date(seconds * 1000), "UTC"); },
        scales: { y: { range: function (u, low, high) { return [0, high * 1.1]; } } },
        series: [
          { label: "Day", value: function (u, seconds) { return seconds === null ? "point at the line" : day(seconds); } },
          {
            label: "Weight, " + data.unit,
            stroke: colour("--sage"),
            width: 2,
            value: function (u, weight) { return weight === null ? "" : weight + " " + data.unit; },
            points: { show: true, size: 9, fill: colour("--sage") },
          },
        ],
        axes: [axis, Object.assign({ size: 60, label: data.unit, labelSize: 22 }, axis)],
      },
      [data.seconds, data.weights],
      place
    );
  }

  draw();
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  let waiting = 0;
  window.addEventListener("resize", function () {
    clearTimeout(waiting);
    waiting = setTimeout(draw, 150);
  });
})();
