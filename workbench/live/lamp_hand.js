/* A hand on the lamp: seen from above, it stands over the picture's middle at 90 degrees and at
   the rim of the largest circle in the view at 0; beside it a scale in mm of the print. */

import { asWritten, tr } from "./words.js";

export const LAMP_STYLE = `
.wb-live-lamp { position: absolute; width: 24px; height: 24px; margin: -12px 0 0 -12px; border-radius: 50%;
  background: #ffd75e; border: 2px solid #1f1f1f; outline: 1px solid #fff; box-sizing: border-box;
  cursor: grab; touch-action: none; }
.wb-live-lamp::before { content: "☀"; display: block; font: 15px/19px sans-serif; text-align: center; color: #1f1f1f; }
.wb-live-lamp:focus-visible { outline: 3px solid #56b4e9; }
.wb-live-scale { position: absolute; left: 8px; bottom: 8px; height: 7px; border: 1px solid #000;
  border-top: 0; box-shadow: 0 0 0 1px #fff; background: #fff; box-sizing: border-box; pointer-events: none; }
.wb-live-scale span { position: absolute; left: 0; bottom: 9px; padding: 0 4px; background: #1f1f1fcc; color: #fff;
  font: 11px/15px system-ui, sans-serif; white-space: nowrap; }
`;

const RIM_PX = 14; /* the lamp itself stays in the view */
const LOWEST_DEG = 5;
const LENGTHS_MM = [500, 200, 100, 50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1];
const LAMP_SIDES = [
  tr("from the right"), tr("from the upper right"), tr("from above"), tr("from the upper left"),
  tr("from the left"), tr("from the lower left"), tr("from below"), tr("from the lower right"),
];
const TURNS = { ArrowLeft: [5, 0], ArrowRight: [-5, 0], ArrowUp: [0, 1], ArrowDown: [0, -1], PageUp: [0, 10], PageDown: [0, -10] };

const radiusOf = (width, height) => Math.max(10, Math.min(width, height) / 2 - RIM_PX);

/* where a lamp stands on a view of so many pixels */
export function lampPlace({ lamp_azimuth_deg, lamp_elevation_deg }, width, height) {
  const angle = (lamp_azimuth_deg * Math.PI) / 180;
  const out = radiusOf(width, height) * (1 - lamp_elevation_deg / 90);
  return [width / 2 + out * Math.cos(angle), height / 2 - out * Math.sin(angle)];
}

/* the lamp that stands there, in whole degrees */
export function lampAt([x, y], width, height) {
  const [right, up] = [x - width / 2, height / 2 - y];
  const azimuth = Math.round((Math.atan2(up, right) * 180) / Math.PI);
  const elevation = Math.round(90 * (1 - Math.hypot(right, up) / radiusOf(width, height)));
  return {
    lamp_azimuth_deg: (azimuth + 360) % 360,
    lamp_elevation_deg: Math.min(90, Math.max(LOWEST_DEG, elevation)),
  };
}

/* the lamp after a key; null for another key */
export function lampTurned({ lamp_azimuth_deg, lamp_elevation_deg }, key) {
  if (!(key in TURNS)) return null;
  const [turn, rise] = TURNS[key];
  return {
    lamp_azimuth_deg: (Math.round(lamp_azimuth_deg) + turn + 360) % 360,
    lamp_elevation_deg: Math.min(90, Math.max(LOWEST_DEG, Math.round(lamp_elevation_deg) + rise)),
  };
}

export function lampWords({ lamp_azimuth_deg, lamp_elevation_deg }) {
  const side = LAMP_SIDES[Math.round((lamp_azimuth_deg % 360) / 45) % 8];
  return tr("{side}, {degrees}° above the sheet", { side, degrees: Math.round(lamp_elevation_deg) });
}

/* the longest round length that takes at most a third of a view, and its pixels */
export function scaleBar(pixelMm, width) {
  const mm = LENGTHS_MM.find((each) => each / pixelMm <= width / 3);
  return mm ? { words: `${asWritten(mm)} mm`, width: mm / pixelMm } : null;
}
