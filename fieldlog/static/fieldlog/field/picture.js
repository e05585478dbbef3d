// A picture as it is kept and sent: turned as it was held, small enough for a poor signal, and without what the camera
// wrote into it.

export const LONGEST_PX = 2_000;
const QUALITY = 0.8;
const TYPE = "image/jpeg";

// { type, bytes, sha256, width, height }. Throws where the browser cannot read the file as a picture.
export async function reduced(file) {
  const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST_PX / Math.max(bitmap.width, bitmap.height));
  const [width, height] = [Math.round(bitmap.width * scale), Math.round(bitmap.height * scale)];
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  const drawing = canvas.getContext("2d", { alpha: false });
  drawing.imageSmoothingQuality = "medium";
  drawing.drawImage(bitmap, 0, 0, width, height);
  bitmap.close();
  const blob = await new Promise((done) => canvas.toBlob(done, TYPE, QUALITY));
  canvas.width = canvas.height = 0; // some phones keep a canvas' memory otherwise
  if (!blob) throw new Error("it is too large for this phone");
  const bytes = await blob.arrayBuffer();
  return { type: TYPE, bytes, sha256: await sha256Of(bytes), width, height };
}

export const canHash = () => Boolean(crypto.subtle);

async function sha256Of(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return [...digest].map((each) => each.toString(16).padStart(2, "0")).join("");
}

// A small drawing of a picture that is kept here.
export async function preview({ type, bytes }, wide) {
  const bitmap = await createImageBitmap(new Blob([bytes], { type }), { resizeWidth: wide, resizeQuality: "medium" });
  const canvas = Object.assign(document.createElement("canvas"), { width: bitmap.width, height: bitmap.height, className: "field-preview" });
  canvas.getContext("2d").drawImage(bitmap, 0, 0);
  bitmap.close();
  return canvas;
}

// The way the back of the phone looks, from true north as far as the phone knows it, from the three angles of a device's
// orientation (Device Orientation and Motion, W3C, Appendix A, for a device held upright). [°]
export function headingOf({ alpha, beta, gamma }) {
  const [x, y, z] = [beta, gamma, alpha].map((each) => (each * Math.PI) / 180);
  const east = -Math.cos(z) * Math.sin(y) - Math.sin(z) * Math.sin(x) * Math.cos(y);
  const north = -Math.sin(z) * Math.sin(y) + Math.cos(z) * Math.sin(x) * Math.cos(y);
  return ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
}

// Listens to the compass, where the phone has one and tells. `heading` is null while it does not.
export class Compass {
  heading = null;

  // Some phones ask the person first, and only after a tap.
  async start() {
    if (this._isOn || typeof DeviceOrientationEvent === "undefined") return;
    const isAllowed = (await DeviceOrientationEvent.requestPermission?.().catch(() => "denied")) ?? "granted";
    if (isAllowed !== "granted") return;
    this._isOn = true;
    addEventListener("deviceorientationabsolute", (event) => event.alpha !== null && (this.heading = headingOf(event)));
    addEventListener("deviceorientation", ({ webkitCompassHeading: heading }) => heading >= 0 && (this.heading = heading));
  }
}
