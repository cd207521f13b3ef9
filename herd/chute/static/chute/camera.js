/** Reads the barcode of a sample tube by the camera, where the browser can. */

import { button, h } from "./element.js";

const EVERY = 250;

/** A button that opens the camera; nothing where the browser reads no barcodes. @param {(code: string) => void} oncode */
export function cameraButton(oncode) {
  if (!("BarcodeDetector" in globalThis) || !navigator.mediaDevices?.getUserMedia) return null;
  return button("Camera", () => readOne(oncode), "", { "aria-label": "Read the tube by the camera" });
}

/** Show the camera's picture until a code is seen or it is closed. @param {(code: string) => void} oncode */
async function readOne(oncode) {
  const video = h("video", { playsinline: true, muted: true });
  const told = h("p.lead", { role: "status" }, "Hold the tube’s barcode into the picture.");
  const dialog = h("dialog.camera", { "aria-label": "Camera" }, video, told, button("Close", () => dialog.close(), "big"));
  let stream = null;
  let timer = 0;
  dialog.addEventListener("close", () => {
    clearInterval(timer);
    stream?.getTracks().forEach((track) => track.stop());
    dialog.remove();
  });
  document.body.append(dialog);
  dialog.showModal();
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    told.textContent = "The camera can’t be used here. Allow it in the browser, or type the code.";
    return;
  }
  video.srcObject = stream;
  await video.play();
  const detector = new globalThis.BarcodeDetector();
  timer = setInterval(async () => {
    const [found] = await detector.detect(video).catch(() => []);
    if (!found?.rawValue || !dialog.open) return;
    oncode(found.rawValue.trim());
    dialog.close();
  }, EVERY);
}
