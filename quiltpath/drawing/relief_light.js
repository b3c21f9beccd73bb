// Lights a relief on a page, whose colours and shape are pictures. Same light as relief_light.py,
// without the shadow that one puff throws on the next.

const SUN = [1.04, 1.0, 0.93], SKY = [0.94, 0.99, 1.09];
const EXPOSURE = 0.88, SHOULDER = 0.72, SHEEN = 0.035, SOFT = 0.1;
const TONES = 4095;

const LINEAR = Float32Array.from({ length: 256 }, (_, level) => {
  const v = level / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
});
// Linear light to a level, white bent instead of running out; light reaches 2 in the table.
const LEVEL = Uint8ClampedArray.from({ length: TONES + 1 }, (_, tone) => {
  let v = (2 * tone) / TONES;
  const room = 1 - SHOULDER;
  if (v > SHOULDER) v = SHOULDER + room * Math.tanh((v - SHOULDER) / room);
  return Math.round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055));
});

/**
 * @param {string} url
 * @returns {Promise<HTMLImageElement>}
 */
export const loaded = (url) => new Promise((done, failed) => {
  const image = new Image();
  image.onload = () => done(image);
  image.onerror = failed;
  image.src = url;
});

/** @param {HTMLImageElement} image */
export const pixels = (image) => {
  const canvas = document.createElement("canvas");
  canvas.width = image.naturalWidth;
  canvas.height = image.naturalHeight;
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d", { willReadFrequently: true }));
  context.drawImage(image, 0, 0);
  return context.getImageData(0, 0, canvas.width, canvas.height);
};

// The cosine, that reaches nought without an edge.
const softly = (/** @type {number} */ facing) => 0.5 * (facing + Math.sqrt(facing * facing + SOFT * SOFT));

/**
 * @param {Uint8ClampedArray} out  RGBA in turn, as are the colours and the shape
 * @param {Uint8ClampedArray} colours
 * @param {Uint8ClampedArray} shape
 * @param {number} fromDeg  where the light comes from, anticlockwise from the right
 * @param {number} aboveDeg
 * @param {number} sky  share of the light that comes from all around
 */
export function paint(out, colours, shape, fromDeg, aboveDeg, sky) {
  const turn = (fromDeg * Math.PI) / 180, rise = (aboveDeg * Math.PI) / 180;
  const x = Math.cos(rise) * Math.cos(turn), y = Math.cos(rise) * Math.sin(turn);
  const up = Math.sin(rise), strength = (1 - sky) / softly(up);
  for (let i = 0; i < out.length; i += 4) {
    const nx = shape[i] / 127.5 - 1, ny = shape[i + 1] / 127.5 - 1;
    const nz = Math.sqrt(Math.max(0, 1 - nx * nx - ny * ny));
    const sun = softly(nx * x + ny * y + nz * up) * strength;
    const open = (shape[i + 2] / 255) * sky * (0.75 + 0.25 * nz);
    const sheen = SHEEN * Math.max(0, sun - (1 - sky));
    for (let c = 0; c < 3; c += 1) {
      const seen = LINEAR[colours[i + c]] * (sun * SUN[c] + open * SKY[c]);
      const light = EXPOSURE * seen + sheen;
      out[i + c] = LEVEL[Math.min(TONES, Math.round((light * TONES) / 2))];
    }
    out[i + 3] = colours[i + 3];
  }
}
