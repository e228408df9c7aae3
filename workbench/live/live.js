/* A picture as it will print, alive in the page: createLiveView(element, options).

   Plain module, without Jupyter: take-away pages use it as well as the panels.  What it is
   given: a reduced picture in its own encoding, tables of what a paper makes of its colours,
   and uniforms (eye, threshold, divider, zoom ...), which move without anybody being asked. */

import { LiveEngine } from "./engine.js";
import { LAMP_STYLE, lampAt, lampPlace, lampTurned, lampWords, scaleBar } from "./lamp_hand.js";
import { asWritten, tr } from "./words.js";

const STYLE = `
.wb-live { position: relative; display: flex; flex-direction: column; align-items: center;
  max-width: 100%; gap: 6px; }
.wb-live-stage { position: relative; max-width: 100%; overflow: hidden; }
.wb-live-stage canvas { display: block; width: 100%; height: 100%; outline: none; cursor: crosshair; }
.wb-live-stage canvas:focus-visible { box-shadow: inset 0 0 0 2px #56b4e9; }
.wb-live-divider { position: absolute; top: 0; bottom: 0; width: 24px; margin-left: -12px;
  cursor: ew-resize; touch-action: none; outline: none; }
.wb-live-divider::after { content: "⇔"; position: absolute; top: 50%; left: 0; width: 24px; height: 24px;
  margin-top: -12px; border-radius: 12px; background: #1f1f1fcc; color: #fff; font: 13px/24px sans-serif;
  text-align: center; }
.wb-live-divider:focus-visible::after { outline: 2px solid #56b4e9; }
.wb-live-mark { position: absolute; width: 13px; height: 13px; margin: -7px 0 0 -7px; border-radius: 50%;
  border: 1px solid #fff; box-shadow: 0 0 0 1px #000, inset 0 0 0 1px #000; pointer-events: none; }
.wb-live-frame { position: absolute; border: 1px solid #000; box-shadow: inset 0 0 0 1px #fff;
  pointer-events: none; }
.wb-live-tools { display: flex; flex-wrap: wrap; gap: 4px; justify-content: center; align-items: center;
  font: 13px/1.3 system-ui, sans-serif; color: #fff; }
.wb-live-tools button { font: inherit; padding: 3px 9px; border: 1px solid #d0d0d0; border-radius: 4px;
  background: #3a3a3a; color: #fff; cursor: pointer; }
.wb-live-tools button[aria-pressed=true] { background: #fff; color: #1f1f1f; }
.wb-live:not(.wb-live-full) .wb-live-tools { font-size: 12px; margin-bottom: -8px; }
.wb-live:not(.wb-live-full) .wb-live-tools button { padding: 0 7px; }
.wb-live-tools button:focus-visible, .wb-live-tools input:focus-visible { outline: 2px solid #56b4e9; }
.wb-live-tools label { display: inline-flex; gap: 6px; align-items: center; background: #3a3a3a;
  padding: 2px 8px; border-radius: 4px; }
.wb-live:not(.wb-live-full) .wb-live-large { display: none; }
.wb-live-full { position: fixed; inset: 0; width: 100vw; height: 100vh; max-width: none; max-height: none;
  margin: 0; padding: 0 0 8px; border: 0; background: var(--wb-live-surround, #777); z-index: 100000; }
.wb-live-full .wb-live-stage { flex: 1 1 0; width: 100% !important; aspect-ratio: auto !important; min-height: 0; }
.wb-live-card { position: absolute; left: 50%; top: 50%; transform: translate(-50%, -50%); z-index: 2;
  border: 2px solid #1f1f1f; outline: 2px solid #fff; border-radius: 8px; background: #999; color: #000;
  display: flex; flex-direction: column; gap: 8px; align-items: center; justify-content: center;
  font: 14px/1.4 system-ui, sans-serif; text-align: center; padding: 8px; box-sizing: border-box; }
${LAMP_STYLE}`;

/* identification card ID-1 of ISO/IEC 7810, mm */
const CARD_MM = [85.6, 53.98];
const MOST_ZOOM = 32;
const ZOOM_STEP = 1.25;
const REST_MS = 180;
/* a picture that takes so long to be worked out is not worked out whole while something moves,
   but so long after */
const SLOW_MS = 15, SHARP_MS = 150;
const SURROUND = 0x77 / 255;
let views = 0;
/* what of a view's state the lamp's light depends on */
const LIT_BY = [
  "lamp_azimuth_deg", "lamp_elevation_deg", "lamp_size_cm", "lamp_distance_m", "even_light", "glossShare",
  "inkAlpha", "paperY", "glass", "window", "eyeBlurMm", "eyeMm", "widthMm", "stops",
];

/* XYZ (D50) of linear sRGB and Display P3 are given by whoever knows the display; what the
   eye takes for white is a straight mixture of the reference's light and the paper's */
function gainOf({ paperXyz, referenceXyz, adaptation = 1, fitWhite, toSrgb }) {
  if (!paperXyz || !referenceXyz) return [1, 1, 1];
  const eye = paperXyz.map((paper, i) => (1 - adaptation) * referenceXyz[i] + adaptation * paper);
  const gain = paperXyz.map((paper, i) => (adaptation === 1 ? 1 : paper / eye[i]));
  if (!fitWhite || !toSrgb) return gain;
  /* a paper lighter or warmer than the eye's white would clip: all is dimmed alike */
  const white = [0.9642, 1, 0.8249].map((each, i) => each * gain[i]);
  const light = [0, 1, 2].map((row) => white.reduce((s, v, i) => s + toSrgb[3 * row + i] * v, 0));
  const dim = Math.max(1, ...light);
  return gain.map((each) => each / dim);
}

function made(tag, className, attributes = {}, text = "") {
  const each = document.createElement(tag);
  if (className) each.className = className;
  for (const [name, value] of Object.entries(attributes)) each.setAttribute(name, value);
  if (text) each.textContent = text;
  return each;
}

function colour(hex) {
  return [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255);
}

/* Put a live view into an element.  Throws where there is no WebGL 2.

   options: onUniform(name, value) when a hand here moves one; onPick(x, y) of a click, as
   shares of the picture; onTile({box, width, height}) when finer pixels of a part would be seen;
   onRelief(pixelMm) when the sheet's relief at another scale would;
   onScreenPpi(ppi) when the screen was measured; onState("lost" | "restored"). */
export function createLiveView(element, options = {}) {
  const root = made("div", "wb-live");
  root.append(made("style", "", {}, STYLE));
  const stage = made("div", "wb-live-stage");
  const canvas = made("canvas", "", {
    tabindex: "0", role: "img",
  });
  const divider = made("div", "wb-live-divider", {
    role: "slider", tabindex: "0", "aria-label": tr("Divider: picture on the left, print on the right"),
    "aria-valuemin": "0", "aria-valuemax": "100", "aria-orientation": "horizontal",
  });
  const mark = made("div", "wb-live-mark");
  const frame = made("div", "wb-live-frame");
  const lamp = made("div", "wb-live-lamp", { role: "slider", tabindex: "0", "aria-label": tr("Lamp: drag it, or arrow keys"),
    "aria-valuemin": "0", "aria-valuemax": "360" });
  const bar = made("div", "wb-live-scale");
  bar.append(made("span"));
  stage.append(canvas, frame, mark, divider, bar, lamp);
  /* until something is drawn there is nothing to see or to move */
  for (const each of [canvas, mark, frame, divider, bar, lamp]) each.style.visibility = "hidden";
  root.append(stage);
  const engine = new LiveEngine(canvas);
  element.append(root);

  const state = {
    /* of the eye and the display */
    paperXyz: null, referenceXyz: null, adaptation: 1, fitWhite: false,
    toDisplay: null, fromDisplay: null, screens: null, space: "srgb",
    /* of the marks */
    overlay: 0, threshold: 2, paperNoise: 0, displayNoise: 0, overlayColour: "#D55E00",
    limitColours: ["#F0E442", "#009E73", "#000000"],
    /* of the map of differences: lower limits of its steps but the first, and their colours */
    steps: [1, 2, 4, 8], stepColours: Array(5).fill("#777777"),
    /* of the hands */
    divider: 0, divided: false, stops: 0, frame: null, mark: null,
    /* of the lamp, 0..360, 5..90, 0 for parallel light, 0..1; and of the sheet under it: the share
       of its gloss that counts, the roughness of ink (0: as the sheet's), its white's luminance
       over a perfect one's; glass: what it lets in from each degree of height, what it lets out,
       what it mirrors; window: edges in shares of the picture, brightness; the blur of an eye
       that stands back, and the distance of one above the middle, mm or 0 */
    lamp: false, lamp_azimuth_deg: 135, lamp_elevation_deg: 30, lamp_size_cm: 2, lamp_distance_m: 0,
    even_light: 0, glossShare: 1, inkAlpha: 0, paperY: 1, glass: null, window: null, eyeBlurMm: 0, eyeMm: 0,
    /* of the print */
    widthMm: 0, printPixels: 0, picturePixels: 0, screenPpi: 0,
  };
  const name = `live ${++views}`;
  let frames = 0;
  const view = { zoom: 0, middle: [0.5, 0.5], size: [0, 0], full: false };
  let asked = 0, tileTimer = 0, tileAsked = "", reliefAsked = 0, disposed = false, drawn = "";
  const stop = new AbortController();
  const { signal } = stop;
  const on = (target, event, does, more = {}) =>
    target.addEventListener(event, does, { signal, ...more });

  const ratio = () => window.devicePixelRatio || 1;
  const picture = () => engine.pictures.whole;

  /* ---- where the picture stands on the canvas */

  function fitZoom() {
    const { width, height } = picture();
    const zoom = Math.min(canvas.width / width, canvas.height / height);
    /* a page rounds lengths, and a pixel's breadth off would blur the whole picture */
    return Math.abs(canvas.width - width) < 3 && Math.abs(canvas.height - height) < 3 ? 1 : zoom;
  }

  function zoomNow() {
    return view.zoom || fitZoom();
  }

  function layout() {
    const { width, height } = picture();
    const zoom = zoomNow();
    const size = [width * zoom, height * zoom].map((each) => Math.max(1, Math.round(each)));
    const origin = size.map((each, i) => {
      const room = i ? canvas.height : canvas.width;
      if (each < room + 3) return Math.trunc((room - each) / 2);
      const at = Math.round(room / 2 - view.middle[i] * each);
      return Math.min(0, Math.max(room - each, at));
    });
    return { origin, size };
  }

  function zoomTo(zoom, at = null) {
    if (!picture()) return;
    const before = layout();
    const fit = fitZoom();
    const next = zoom <= fit * 1.001 && !view.full ? 0 : Math.min(MOST_ZOOM, Math.max(fit / 4, zoom));
    const point = at ?? [canvas.width / 2, canvas.height / 2];
    const share = point.map((p, i) => (p - before.origin[i]) / before.size[i]);
    view.zoom = next;
    const size = [picture().width, picture().height].map((each) => each * zoomNow());
    view.middle = share.map((s, i) => {
      const room = i ? canvas.height : canvas.width;
      return Math.min(1, Math.max(0, s + (room / 2 - point[i]) / size[i]));
    });
    moved();
  }

  function panBy(x, y) {
    if (!picture()) return;
    const { origin, size } = layout();
    [x, y].forEach((by, i) => {
      const room = i ? canvas.height : canvas.width;
      if (size[i] >= room + 3)
        view.middle[i] = Math.min(1, Math.max(0, (room / 2 - origin[i] - by) / size[i]));
    });
    moved();
  }

  /* the lamp and what it shines on; null where no lamp is on, or nothing to shine on */
  function lit() {
    if (!state.lamp || !engine.relief || !engine.tables.print || !state.widthMm) return null;
    return Object.fromEntries(LIT_BY.map((each) => [each, state[each]]));
  }

  /* the bare sheet's light on the canvas, as a picture's white has it */
  function whiteLight() {
    const light = [0.9642, 1, 0.8249].map((each, i) => each * gainOf({ ...state, toSrgb: state.toDisplay })[i]);
    const by = (matrix, from) => [0, 1, 2].map((row) =>
      Math.min(1, Math.max(0, from.reduce((sum, each, i) => sum + matrix[3 * row + i] * each, 0))));
    return by(state.screens[screenSpace()], by(state.toDisplay, light));
  }

  function moved() {
    for (const [each, button] of Object.entries(sizes))
      button.setAttribute("aria-pressed", String(view.zoom === (each === "fit" ? 0 : wanted(each) || -1)));
    canvas.style.touchAction = view.zoom || view.full || state.lamp ? "none" : "pan-x pan-y";
    soon();
    clearTimeout(tileTimer);
    tileTimer = setTimeout(askForMore, REST_MS);
  }

  /* ---- drawing */

  function soon() {
    if (!asked && !disposed) asked = requestAnimationFrame(() => draw(false));
  }

  /* ---- a machine without a graphics chip keeps up by working out fewer pixels while it must */

  let slow = false, coarseTimer = 0, timing = null;

  /* how long the pictures just asked for take */
  function timeIt() {
    const { gl } = engine;
    if (timing) gl.deleteSync(timing);
    const sync = (timing = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0));
    const start = performance.now();
    const look = () => {
      if (timing !== sync || disposed || gl.isContextLost()) return;
      const took = performance.now() - start;
      if (gl.getSyncParameter(sync, gl.SYNC_STATUS) !== gl.SIGNALED && took < 1000) {
        setTimeout(look, 2);
        return;
      }
      gl.deleteSync(sync);
      timing = null;
      slow = took > SLOW_MS;
    };
    gl.flush();
    setTimeout(look, 2);
  }

  function moving() {
    if (!slow) return;
    engine.setCoarse(true);
    clearTimeout(coarseTimer);
    coarseTimer = setTimeout(() => {
      engine.setCoarse(false);
      soon();
    }, SHARP_MS);
  }

  function resolve() {
    const screen = state.screens?.[screenSpace()];
    engine.setUniforms({
      gain: gainOf({ ...state, toSrgb: state.toDisplay }),
      ...(state.toDisplay && { toDisplay: state.toDisplay, fromDisplay: state.fromDisplay }),
      ...(screen && { toScreen: screen }),
      overlay: state.lamp ? 0 : state.overlay,
      steps: state.steps,
      gainUp: state.lamp ? 1 : 2 ** state.stops,
      /* without marks no limit is seen, and nothing need be drawn for one */
      paperLimit: state.overlay ? Math.max(state.threshold, state.paperNoise) : 0,
      displayLimit: state.overlay ? Math.max(state.threshold, state.displayNoise) : 0,
    });
  }

  /* the space of the canvas: the wide one only where the display is not sRGB */
  function screenSpace() {
    const wanted = state.space === "srgb" ? "srgb" : "display-p3";
    if ("drawingBufferColorSpace" in engine.gl) {
      if (engine.gl.drawingBufferColorSpace !== wanted) engine.gl.drawingBufferColorSpace = wanted;
      return engine.gl.drawingBufferColorSpace;
    }
    return "srgb";
  }

  /* where it is not to be drawn anyway, only if something that is seen has changed: much of
     what comes (a print's size, a threshold without marks) changes no pixel */
  function draw(anyway = true) {
    asked = 0;
    if (disposed || !engine.ready || !canvas.width) return false;
    resolve();
    const { origin, size } = layout();
    const lamped = lit();
    const at = lamped ? 0 : state.divided ? state.divider : state.divider >= 1 ? 1 : 0;
    const seen = {
      origin, size, divider: at, line: state.divided && at > 0 && at < 1,
      lit: lamped, whiteLight: lamped && whiteLight(),
      surround: [SURROUND, SURROUND, SURROUND],
      marks: [
        [0, 0, 0], colour(state.overlay === 1 ? state.overlayColour : state.limitColours[0]),
        colour(state.limitColours[1]), colour(state.limitColours[2]),
      ],
      stepColours: state.stepColours.map(colour),
    };
    const parts = [state.divided, state.divider, state.mark, state.frame];
    const now = JSON.stringify([seen, parts, engine.changes, engine.reliefs]);
    if (now === drawn && !anyway) return true;
    drawn = now;
    const worked = engine.developments;
    const shown = engine.draw(seen);
    if (engine.developments > worked && !engine.coarse) timeIt();
    if (shown && canvas.style.visibility) for (const each of stage.children) each.style.visibility = "";
    placeParts(origin, size);
    canvas.dataset.width = size[0];
    canvas.dataset.frame = `${name}, frame ${++frames}`; /* for those who watch the page */
    return shown;
  }

  function placeParts(origin, size) {
    const css = (value) => `${value / ratio()}px`;
    divider.hidden = !state.divided || state.lamp;
    divider.style.display = divider.hidden ? "none" : "";
    divider.style.left = css(origin[0] + Math.round(state.divider * size[0]));
    divider.setAttribute("aria-valuenow", String(Math.round(100 * state.divider)));
    divider.setAttribute("aria-valuetext", tr("{percent} % from the left", { percent: Math.round(100 * state.divider) }));
    mark.style.display = state.mark ? "" : "none";
    if (state.mark) {
      mark.style.left = css(origin[0] + state.mark[0] * size[0]);
      mark.style.top = css(origin[1] + state.mark[1] * size[1]);
    }
    frame.style.display = state.frame ? "" : "none";
    if (state.frame) {
      const [left, top, right, bottom] = state.frame;
      frame.style.left = css(origin[0] + left * size[0]);
      frame.style.top = css(origin[1] + top * size[1]);
      frame.style.width = css((right - left) * size[0]);
      frame.style.height = css((bottom - top) * size[1]);
    }
    lamp.style.display = state.lamp ? "" : "none";
    const scale = state.lamp && state.widthMm && scaleBar(state.widthMm / size[0], canvas.width);
    bar.style.display = scale ? "" : "none";
    if (state.lamp) {
      const [x, y] = lampPlace(state, canvas.width, canvas.height);
      lamp.style.left = css(x);
      lamp.style.top = css(y);
      lamp.setAttribute("aria-valuenow", String(state.lamp_azimuth_deg));
      lamp.setAttribute("aria-valuetext", lampWords(state));
    }
    if (scale) {
      bar.style.width = css(scale.width);
      bar.firstChild.textContent = scale.words;
    }
  }

  function measure() {
    const width = Math.round(stage.clientWidth * ratio());
    const height = Math.round(stage.clientHeight * ratio());
    if (!width || !height || (width === canvas.width && height === canvas.height)) return;
    canvas.width = width;
    canvas.height = height;
    draw(); /* at once: a resized canvas is empty */
    moved();
  }

  function stageSize() {
    if (!picture()) return;
    const { width, height } = picture();
    stage.style.width = `${width / ratio()}px`;
    stage.style.aspectRatio = `${width} / ${height}`;
    measure();
  }

  /* ---- finer pixels of what is seen */

  function askForMore() {
    askForTile();
    const pixelMm = lit() && canvas.width && state.widthMm / layout().size[0];
    if (!pixelMm || Math.abs(engine.relief.pitch / pixelMm - 1) < 1e-3 || pixelMm === reliefAsked) return;
    reliefAsked = pixelMm;
    options.onRelief?.(pixelMm);
  }

  function askForTile() {
    if (!options.onTile || !picture() || !canvas.width) return;
    const { origin, size } = layout();
    if (size[0] <= picture().width * 1.02 || state.picturePixels <= picture().width) return;
    const room = [canvas.width, canvas.height];
    const box = [0, 1, 2, 3].map((i) => {
      const edge = ((i < 2 ? 0 : room[i % 2]) - origin[i % 2]) / size[i % 2];
      return Math.min(1, Math.max(0, edge));
    });
    const wide = (box[2] - box[0]) * size[0];
    const high = (box[3] - box[1]) * size[1];
    const most = (box[2] - box[0]) * state.picturePixels;
    const by = Math.min(1, most / wide);
    const wish = { box, width: Math.ceil(wide * by), height: Math.ceil(high * by) };
    const key = JSON.stringify(wish);
    if (key === tileAsked || wide < 1 || high < 1) return;
    tileAsked = key;
    options.onTile(wish);
  }

  /* ---- hands */

  const point = (e) => {
    const box = canvas.getBoundingClientRect();
    return [(e.clientX - box.left) * ratio(), (e.clientY - box.top) * ratio()];
  };
  const fingers = new Map();
  let travelled = 0, spread = 0;

  /* with nothing to move about, a hand on the picture moves the lamp */
  const movesLamp = () => state.lamp && !view.zoom;
  function setLamp(changes) {
    Object.assign(state, changes);
    soon();
    for (const [each, value] of Object.entries(changes)) options.onUniform?.(each, value);
  }
  const lampTo = (e) => setLamp(lampAt(point(e), canvas.width, canvas.height));
  on(lamp, "pointerdown", (e) => {
    lamp.setPointerCapture(e.pointerId);
    lamp.focus();
    e.preventDefault();
  });
  on(lamp, "pointermove", (e) => {
    if (lamp.hasPointerCapture(e.pointerId)) lampTo(e);
  });

  on(canvas, "pointerdown", (e) => {
    if (e.button) return;
    fingers.set(e.pointerId, point(e));
    if (fingers.size === 1) travelled = 0;
    spread = 0;
    canvas.setPointerCapture(e.pointerId);
  });
  on(canvas, "pointermove", (e) => {
    const before = fingers.get(e.pointerId);
    if (!before) return;
    const now = point(e);
    travelled += Math.hypot(now[0] - before[0], now[1] - before[1]);
    fingers.set(e.pointerId, now);
    if (fingers.size === 1) {
      if (movesLamp()) lampTo(e);
      else if (travelled > 4 * ratio()) panBy(now[0] - before[0], now[1] - before[1]);
      return;
    }
    const [one, two] = [...fingers.values()];
    const apart = Math.hypot(one[0] - two[0], one[1] - two[1]);
    if (spread) zoomTo((zoomNow() * apart) / spread, [(one[0] + two[0]) / 2, (one[1] + two[1]) / 2]);
    spread = apart;
  });
  const lift = (e) => {
    const was = fingers.delete(e.pointerId);
    spread = 0;
    if (was && e.type === "pointerup" && movesLamp()) lampTo(e);
    if (state.lamp || !was || e.type !== "pointerup" || fingers.size || travelled > 4 * ratio() || !picture()) return;
    const { origin, size } = layout();
    const [x, y] = point(e).map((p, i) => (p - origin[i]) / size[i]);
    if (x >= 0 && x < 1 && y >= 0 && y < 1 && options.onPick) {
      state.mark = [x, y];
      soon();
      options.onPick(x, y);
    }
  };
  on(canvas, "pointerup", lift);
  on(canvas, "pointercancel", lift);
  on(canvas, "dblclick", () => fit());
  on(canvas, "wheel", (e) => {
    /* in a page the wheel goes on scrolling it, until the picture has been chosen */
    if (!(view.full || e.ctrlKey || document.activeElement === canvas)) return;
    e.preventDefault();
    zoomTo(zoomNow() * 2 ** (-e.deltaY * (e.deltaMode ? 0.05 : e.ctrlKey ? 0.01 : 0.002)), point(e));
  }, { passive: false });

  /* only in the full window, where there are no other controls for it */
  function setDivided(divided) {
    if (!view.full || !engine.tables.print || state.lamp) return;
    state.divided = divided;
    if (divided && !(state.divider > 0.02 && state.divider < 0.98)) state.divider = 0.5;
    besides.setAttribute("aria-pressed", String(divided));
    soon();
  }

  function setDivider(value) {
    state.divider = Math.min(1, Math.max(0, value));
    soon();
    options.onUniform?.("divider", state.divider);
  }
  on(divider, "pointerdown", (e) => {
    divider.setPointerCapture(e.pointerId);
    divider.focus();
    e.preventDefault();
  });
  on(divider, "pointermove", (e) => {
    if (!divider.hasPointerCapture(e.pointerId)) return;
    const { origin, size } = layout();
    setDivider((point(e)[0] - origin[0]) / size[0]);
  });
  on(divider, "keydown", (e) => {
    const step = { ArrowLeft: -0.01, ArrowDown: -0.01, ArrowRight: 0.01, ArrowUp: 0.01, PageDown: -0.1, PageUp: 0.1, Home: -1, End: 1 }[e.key];
    if (step === undefined || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    e.stopPropagation();
    setDivider(state.divider + step);
  });

  const KEYS = {
    "+": () => zoomTo(zoomNow() * ZOOM_STEP),
    "=": () => zoomTo(zoomNow() * ZOOM_STEP),
    "-": () => zoomTo(zoomNow() / ZOOM_STEP),
    0: () => fit(),
    f: () => setFull(!view.full),
    d: () => setDivided(!state.divided),
    t: () => size("true"),
    p: () => size("pixels"),
    ArrowLeft: () => panBy(0.1 * canvas.width, 0),
    ArrowRight: () => panBy(-0.1 * canvas.width, 0),
    ArrowUp: () => panBy(0, 0.1 * canvas.height),
    ArrowDown: () => panBy(0, -0.1 * canvas.height),
  };
  on(root, "keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === "Escape" && (view.full || card)) {
      if (card) closeCard();
      else setFull(false);
      e.stopPropagation();
      e.preventDefault();
      return;
    }
    if (e.target.matches?.("input")) return;
    const turned = state.lamp && (e.target === lamp || movesLamp()) && lampTurned(state, e.key);
    if (turned) {
      e.preventDefault();
      e.stopPropagation();
      setLamp(turned);
      return;
    }
    const does = KEYS[e.key.length === 1 ? e.key.toLowerCase() : e.key];
    if (!does) return;
    e.preventDefault();
    e.stopPropagation();
    does();
  });

  /* the page behind the full window is not to be reached */
  on(document, "focusin", (e) => {
    if (view.full && !root.contains(e.target)) canvas.focus();
  });

  /* ---- sizes and the full window */

  /* device pixels of the screen for each pixel of the reduced picture, for a named size */
  function wanted(name) {
    if (!picture() || !state.picturePixels) return 0;
    if (name === "true")
      return (state.widthMm / 25.4) * state.screenPpi / picture().width;
    return state.printPixels / picture().width;
  }

  function fit() {
    view.zoom = 0;
    view.middle = [0.5, 0.5];
    moved();
  }

  function size(name) {
    if (name === "fit") return fit();
    if (name === "true" && !state.screenPpi) return openCard();
    const zoom = wanted(name);
    if (!zoom) return undefined;
    zoomTo(zoom);
    view.zoom = zoom; /* exactly, whatever the steps of zooming */
    return moved();
  }

  let opener = null, dividedBefore = false;
  function setFull(full) {
    if (full === view.full) return;
    view.full = full;
    root.classList.toggle("wb-live-full", full);
    /* the top layer: neither the page's boxes nor their edges reach there */
    if (full) {
      opener = document.activeElement;
      if (root.showPopover) {
        root.setAttribute("popover", "manual");
        root.showPopover();
      }
      canvas.focus();
    } else {
      if (root.hasAttribute("popover")) {
        root.hidePopover();
        root.removeAttribute("popover");
      }
      closeCard();
      (opener?.isConnected ? opener : canvas).focus();
    }
    if (full) dividedBefore = state.divided;
    else state.divided = dividedBefore;
    besides.setAttribute("aria-pressed", String(state.divided));
    fullButton.textContent = full ? tr("Back to the page") : tr("Full window");
    fullButton.title = full ? tr("Key Esc") : tr("Only the picture, on neutral grey; key F, and Esc to come back");
    view.zoom = 0;
    measure();
    moved();
  }

  const tools = made("div", "wb-live-tools");
  const tool = (text, title, does, large = true) => {
    const each = made("button", large ? "wb-live-large" : "", { type: "button", title }, text);
    on(each, "click", does);
    tools.append(each);
    return each;
  };
  const sizes = {
    fit: tool(tr("Whole picture"), tr("All of it in the window; key 0"), () => size("fit")),
    true: tool(tr("True size"), tr("As large as on the paper; key T"), () => size("true")),
    pixels: tool(tr("Print pixels"), tr("One pixel of the print is one of the screen; key P"), () => size("pixels")),
  };
  const besides = tool(tr("Picture | print"), tr("The picture beside its print, with a divider; key D"), KEYS.d);
  function sayKeys() {
    canvas.setAttribute("aria-description", state.lamp
      ? tr("Keys: plus, minus and 0 for the size, arrows for the lamp, F for the full window")
      : tr("Keys: plus, minus and 0 for the size, arrows to move, F for the full window"));
    besides.style.display = state.lamp ? "none" : "";
  }
  sayKeys();
  tool("+", tr("Larger; key +"), KEYS["+"]);
  tool("−", tr("Smaller; key −"), KEYS["-"]);
  tool(tr("Measure the screen"), tr("Hold a bank card against the screen, so that true size is true"), () => openCard());
  const brighter = made("input", "", { type: "range", min: "0", max: "5", step: "0.25", value: "0" });
  const brighten = made("label", "wb-live-large", {}, tr("Brighter, to look into the shadows (stops)"));
  brighten.append(brighter);
  tools.append(brighten);
  on(brighter, "input", () => {
    moving();
    state.stops = Number(brighter.value);
    soon();
    options.onUniform?.("stops", state.stops);
  });
  const fullButton = tool(
    tr("Full window"), tr("Only the picture, on neutral grey; key F, and Esc to come back"),
    () => setFull(!view.full), false,
  );
  root.append(tools);

  /* ---- the screen's resolution, by a card held against it */

  let card = null;
  function openCard() {
    if (card) return;
    let ppi = state.screenPpi || 96 * ratio();
    card = made("div", "wb-live-card", { role: "dialog", "aria-label": tr("Measure the screen"), tabindex: "-1" });
    card.append(made("div", "", {},
      tr("Hold a bank card against the screen and make this frame as large as the card, with + and − or the arrow keys.")));
    const said = made("div", "", { role: "status" });
    const line = made("div", "wb-live-tools");
    const put = () => {
      card.style.width = `${((CARD_MM[0] / 25.4) * ppi) / ratio()}px`;
      card.style.height = `${((CARD_MM[1] / 25.4) * ppi) / ratio()}px`;
      said.textContent = tr("{ppi} pixels per inch", { ppi: asWritten(ppi.toFixed(1)) });
    };
    const by = (factor) => {
      ppi = Math.min(2000, Math.max(30, ppi * factor));
      put();
    };
    const button = (text, does) => {
      const each = made("button", "", { type: "button" }, text);
      on(each, "click", does);
      line.append(each);
      return each;
    };
    button("−", () => by(1 / 1.005));
    button("+", () => by(1.005));
    button(tr("It fits"), () => {
      state.screenPpi = ppi;
      options.onScreenPpi?.(ppi);
      closeCard();
      size("true");
    });
    button(tr("Cancel"), () => closeCard());
    on(card, "keydown", (e) => {
      const factor = { "+": 1.005, "=": 1.005, "-": 1 / 1.005, ArrowUp: 1.005, ArrowRight: 1.005, ArrowDown: 1 / 1.005, ArrowLeft: 1 / 1.005 }[e.key];
      if (!factor) return;
      e.preventDefault();
      e.stopPropagation();
      by(e.shiftKey && e.key.startsWith("Arrow") ? factor ** 10 : factor);
    });
    card.append(said, line);
    put();
    setFull(true);
    stage.append(card);
    card.focus();
  }
  function closeCard() {
    card?.remove();
    card = null;
    canvas.focus();
  }

  /* ---- when the context is lost, and comes back */

  on(canvas, "webglcontextlost", (e) => {
    e.preventDefault();
    if (!disposed) options.onState?.("lost");
  });
  on(canvas, "webglcontextrestored", () => {
    engine.restart();
    draw();
    options.onState?.("restored");
  });
  const sized = new ResizeObserver(measure);
  sized.observe(stage);
  moved();

  return {
    canvas,
    /* data null for none; uint16 (or 8 bits, widened) of 1, 3 or 4 channels */
    setPicture(data, width, height) {
      const wide = data instanceof Uint8Array ? Uint16Array.from(data, (v) => 257 * v) : data;
      engine.setPicture("tile", null);
      tileAsked = "";
      engine.setPicture("whole", wide, width, height);
      stageSize();
      moved();
      draw();
    },
    setTile(data, width, height, box) {
      engine.setPicture("tile", data, width, height, box);
      soon();
    },
    /* as `LiveEngine.setRelief` */
    setRelief(relief) {
      engine.setRelief(relief);
      reliefAsked = 0; /* it may be another sheet's */
      moved();
    },
    setTable(name, data, channels = 3) {
      engine.setTable(name, data, channels);
      soon();
    },
    setUniforms(changes) {
      moving();
      Object.assign(state, changes);
      if ("lamp" in changes) sayKeys();
      if ("stops" in changes) brighter.value = String(state.stops);
      if ("label" in changes) canvas.setAttribute("aria-label", changes.label);
      if (["widthMm", "printPixels", "picturePixels", "screenPpi", "lamp"].some((name) => name in changes)) moved();
      else soon();
    },
    uniforms: state,
    zoom: (factor) => zoomTo(zoomNow() * factor),
    get view() {
      return { ...view, ...(picture() ? layout() : {}) };
    },
    /* for tests: draw now, and read what stands on the canvas, or "before" and "after" it */
    readPixels(which = "canvas") {
      measure();
      engine.setCoarse(false);
      draw();
      return engine.pixels(which);
    },
    draw,
    engine,
    dispose() {
      disposed = true;
      stop.abort();
      sized.disconnect();
      clearTimeout(tileTimer);
      clearTimeout(coarseTimer);
      cancelAnimationFrame(asked);
      if (view.full && root.hasAttribute("popover")) root.hidePopover();
      engine.dispose();
      root.remove();
    },
  };
}
