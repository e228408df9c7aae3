/* The lamp over a live view's sheet: its passes, made only once a lamp is lit. */

import { BLURRED, HORIZONS, LIT, LIT_COVER, MOST_AZIMUTHS, SHEET } from "./lamp_shaders.js";
import { program } from "./program.js";

/* as surface/relight.py, horizon.py and analysis/relit.py have them */
const STEP_DEG = 15;
const MOST_STEPS = 200;
const OVER = 0.005;
const MOST_SAMPLES = 40000;
/* nearer than this to the relief's own scale, its texels are the picture's pixels */
const SAME_SCALE = 1e-3;
const radians = (degrees) => (degrees * Math.PI) / 180;
const degrees = (angle) => (angle * 180) / Math.PI;

/* Where the lamp stands, over a print of so many mm. */
function lampOf({ lamp_azimuth_deg, lamp_elevation_deg, lamp_size_cm, lamp_distance_m }) {
  const [a, e] = [radians(lamp_azimuth_deg), radians(lamp_elevation_deg)];
  const farMm = lamp_distance_m ? Math.max(100, 1000 * lamp_distance_m) : 0;
  return {
    azimuth: lamp_azimuth_deg,
    direction: [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)],
    farMm,
    halfAngle: Math.atan((5 * lamp_size_cm) / (farMm || 1000)),
  };
}

/* azimuths at which horizons are worked out, rising, and the tangent of its lowest elevation */
function seenFrom({ azimuth, direction, farMm }, halfWidth, halfHeight) {
  const [right, up, off] = direction;
  if (!farMm) return { azimuths: [azimuth], lowest: off / Math.max(Math.hypot(right, up), 1e-9) };
  const corners = [-1, 1].flatMap((x) => [-1, 1].map((y) =>
    [farMm * right - x * halfWidth, farMm * up - y * halfHeight]));
  const lowest = Math.min(...corners.map(([x, y]) => (farMm * off) / Math.max(Math.hypot(x, y), 1e-9)));
  if (Math.abs(farMm * right) <= halfWidth && Math.abs(farMm * up) <= halfHeight)
    return { azimuths: Array.from({ length: MOST_AZIMUTHS }, (_, i) => 2 * STEP_DEG * i), lowest };
  const turned = corners.map(([x, y]) => {
    const by = degrees(Math.atan2(y, x)) - azimuth + 180;
    return by - 360 * Math.floor(by / 360) - 180;
  });
  const [low, high] = [Math.min(...turned), Math.max(...turned)];
  const many = Math.max(2, Math.ceil((high - low) / STEP_DEG) + 1);
  const azimuths = Array.from({ length: many }, (_, i) => azimuth + low + ((high - low) * i) / (many - 1));
  return { azimuths, lowest };
}

/* how light is followed over the relief, one texel at a time along the axis that is nearer */
function wayOf(azimuth, pitch) {
  const [right, up] = [Math.cos(radians(azimuth)), Math.sin(radians(azimuth))];
  const along = Math.abs(right) >= Math.abs(up);
  const longer = Math.max(Math.abs(right), Math.abs(up));
  const forth = along ? right >= 0 : up < 0;
  return [along ? 1 : 0, forth ? 1 : -1, (along ? -up : right) / longer, pitch / longer];
}

function percentile(values, share) {
  values.sort();
  const place = share * (values.length - 1), low = Math.floor(place);
  const next = values[Math.min(low + 1, values.length - 1)];
  return values[low] + (place - low) * (next - values[low]);
}

/* what glass lets in from a lamp so high above the sheet */
function through(glass, elevation, ambient) {
  if (!glass) return 1;
  const low = Math.min(89, Math.floor(elevation)), part = elevation - low;
  const into = glass.into[low] + part * (glass.into[low + 1] - glass.into[low]);
  return ((1 - ambient) * into + ambient * glass.into[90]) * glass.out;
}

export class LampPass {
  constructor(engine) {
    this.engine = engine;
    this.programs = new Map();
    this.drawnFor = ""; /* what the picture below is of */
    this.keptFor = ""; /* and the horizons */
    this.exposedFor = "";
  }

  /* a program of these sources, made at its first use */
  program(name, fragment, vertex) {
    if (!this.programs.has(name)) this.programs.set(name, program(this.engine.gl, fragment(), vertex));
    return this.programs.get(name);
  }

  /* the frame that the picture is drawn into; null if what it holds is still right */
  input(key) {
    const { canvas } = this.engine;
    const { width, height } = canvas;
    const target = this.engine.target("under the lamp", width, height, this.engine.gl.RGBA8);
    const now = `${key} ${width} ${height}`;
    if (now === this.drawnFor) return null;
    this.drawnFor = now;
    return target.frame;
  }

  reliefTexture() {
    const { engine } = this, { gl } = engine;
    const { data, width, height } = engine.relief;
    const had = engine.textures.get("relief");
    const made = engine.texture("relief", data, width, height, 3);
    if (made !== had)
      for (const axis of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, axis, gl.REPEAT);
    return made;
  }

  /* Light what `input` holds; `seen` has origin and size on the canvas, `lit` what stands in
     the live view's state, `whiteLight` the bare sheet's light on the canvas. */
  draw({ origin, size }, lit, whiteLight) {
    const { engine } = this, { gl, relief, canvas } = engine;
    const pixelMm = lit.widthMm / size[0];
    const lamp = lampOf(lit);
    const { azimuths, lowest } = seenFrom(lamp, (size[0] * pixelMm) / 2, (size[1] * pixelMm) / 2);
    const least = lowest / (1 + 2 * lamp.halfAngle);
    const shadows = relief.rise > 0 && relief.steepest >= least;
    const ways = azimuths.map((each) => wayOf(each, relief.pitch));
    const steps = ways.map((way) => Math.min(
      Math.ceil(relief.rise / Math.max(0.5 * least, 1e-6) / way[3]), MOST_STEPS,
      (way[0] ? relief.width : relief.height) - 1));
    const texels = pixelMm / relief.pitch;
    const rows = relief.height * ways.length;
    /* a relief larger than the picture is looked through where it is seen */
    const kept = shadows && relief.width * rows <= canvas.width * canvas.height
      && rows <= gl.getParameter(gl.MAX_TEXTURE_SIZE);
    const perfect = whiteLight[1] / lit.paperY;
    const mirrored = lit.glass && lit.window;
    const same = Math.abs(texels - 1) < SAME_SCALE;
    const wants = Object.entries({
      EXACT: same, NEAR: lamp.farMm, SHADOWS: shadows, KEPT: kept, LAYERS: shadows && ways.length > 1,
      EYE: lit.eyeMm, INK: lit.inkAlpha, WINDOW: mirrored,
    }).flatMap(([name, wanted]) => (wanted ? [name] : []));
    const set = (at) => {
      gl.uniform3fv(at("low"), relief.low);
      gl.uniform3fv(at("stepOf"), relief.step);
      gl.uniform4fv(at("ways"), ways.flat());
      gl.uniform1i(at("steps"), Math.max(...steps));
      gl.uniform1f(at("highestMm"), relief.low[0] + relief.rise);
    };
    const setAll = (at) => {
      set(at);
      gl.uniform2fv(at("size"), size);
      gl.uniform1f(at("pixelMm"), pixelMm);
      gl.uniform1f(at("texels"), texels);
      gl.uniform1f(at("alpha"), relief.alpha);
      gl.uniform1f(at("lampAlpha"), Math.tan(lamp.halfAngle) / Math.sqrt(8));
      gl.uniform1f(at("gloss"), lit.glossShare);
      gl.uniform3fv(at("direction"), lamp.direction);
      gl.uniform1f(at("farMm"), lamp.farMm);
      gl.uniform1f(at("halfAngle"), lamp.halfAngle);
      gl.uniform1f(at("ambient"), lit.even_light);
      gl.uniform1f(at("eyeMm"), lit.eyeMm);
      gl.uniform1i(at("layers"), ways.length);
      gl.uniform1f(at("firstAzimuth"), azimuths[0]);
      gl.uniform1f(at("azimuthStep"), (azimuths.at(-1) - azimuths[0]) / Math.max(1, azimuths.length - 1) || 1);
      gl.uniform1f(at("perfect"), perfect);
    };
    const samplers = { relief: this.reliefTexture(), horizons: this.reliefTexture() };
    if (kept) {
      const target = engine.target("horizons", relief.width, rows, gl.R32UI);
      const key = JSON.stringify([ways, steps, engine.reliefs]);
      if (key !== this.keptFor)
        engine.run(this.program("horizons", () => HORIZONS), target.frame, relief.width, rows, { relief: samplers.relief }, (at) => {
          set(at);
          gl.uniform1i(at("layerHeight"), relief.height);
        });
      this.keptFor = key;
      samplers.horizons = target.texture;
    }
    const exposure = this.exposure(wants, size, samplers, setAll, whiteLight,
      [size, lit, whiteLight, engine.reliefs]) * 2 ** lit.stops;
    const below = engine.target("under the lamp", canvas.width, canvas.height, gl.RGBA8).texture;
    const blurPx = lit.eyeBlurMm / pixelMm;
    const blurred = blurPx > 0.1;
    const light = blurred && ["light", "light across"].map((name) =>
      engine.target(name, canvas.width, canvas.height, gl.RGBA16UI));
    const shown = this.program(`${blurred ? "light" : "lit"} ${wants}`, () => LIT(wants, blurred), LIT_COVER);
    engine.run(shown, blurred ? light[0].frame : null, canvas.width, canvas.height,
      { ...samplers, picture: below }, (at) => {
        setAll(at);
        gl.uniform2fv(at("origin"), origin);
        gl.uniform1f(at("canvasHeight"), canvas.height);
        gl.uniform1f(at("exposure"), exposure);
        gl.uniform1f(at("inkAlpha"), lit.inkAlpha);
        gl.uniform1f(at("whiteMean"), (whiteLight[0] + whiteLight[1] + whiteLight[2]) / 3);
        gl.uniform1f(at("through"), through(lit.glass, lit.lamp_elevation_deg, lit.even_light));
        gl.uniform4fv(at("window"), mirrored ? lit.window.slice(0, 4) : [0, 0, 0, 0]);
        gl.uniform1f(at("windowLight"), mirrored ? lit.window[4] * lit.glass.mirror * perfect : 0);
      });
    if (!blurred) return;
    const [left, top] = origin.map((each) => Math.max(0, each));
    const right = Math.min(canvas.width, origin[0] + size[0]) - 1;
    const bottom = Math.min(canvas.height, origin[1] + size[1]) - 1;
    [false, true].forEach((last, i) =>
      engine.run(this.program(`blurred ${last}`, () => BLURRED(last)), i ? null : light[1].frame, canvas.width, canvas.height,
        { light: light[i].texture, picture: below }, (at) => {
          gl.uniform4fv(at("box"), [left, canvas.height - 1 - bottom, right, canvas.height - 1 - top]);
          gl.uniform1f(at("deviation"), blurPx);
          gl.uniform1i(at("radius"), Math.floor(3 * blurPx + 0.5));
        }));
  }

  /* what all light is multiplied by, so that white paper stays within the display */
  exposure(wants, size, samplers, setAll, whiteLight, of) {
    const key = JSON.stringify(of);
    if (key === this.exposedFor) return this.exposed;
    const { engine } = this, { gl } = engine;
    const stride = Math.max(3, Math.ceil(Math.sqrt((size[0] * size[1]) / MOST_SAMPLES)));
    const [width, height] = size.map((each) => Math.ceil(each / stride));
    const target = engine.target("sheet", width, height, gl.R32UI);
    engine.run(this.program(`sheet ${wants}`, () => SHEET(wants), LIT_COVER), target.frame, width, height, samplers, (at) => {
      setAll(at);
      gl.uniform1f(at("stride"), stride);
      gl.uniform1f(at("whiteLight"), whiteLight[1]);
    });
    const read = new Uint32Array(4 * width * height);
    gl.readPixels(0, 0, width, height, gl.RGBA_INTEGER, gl.UNSIGNED_INT, read);
    const floats = new Float32Array(read.buffer);
    const lightest = percentile(Float32Array.from({ length: width * height }, (_, i) => floats[4 * i]), 1 - OVER);
    this.exposedFor = key;
    this.exposed = lightest <= 1 ? 1 : 1 / lightest;
    return this.exposed;
  }
}
