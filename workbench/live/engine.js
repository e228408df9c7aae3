/* WebGL 2 for the live view: textures, tables and three passes; no page, no hands. */

import { LampPass } from "./lamp.js";
import { program } from "./program.js";
import { NODES, composedShader, developedShader, shownShader } from "./shaders.js";

const GREY_NODES = 1024;
/* a picture without paper, and its print */
const SIDES = ["whole before", "whole after", "tile before", "tile after"];
const AFTER = SIDES.filter((side) => side.endsWith("after"));
/* what a uniform has made anew */
const ALL = ["print", "own", ...SIDES];
const TOUCHED = {
  gain: ["print", ...AFTER], toDisplay: ALL, fromDisplay: ALL, toScreen: ALL,
  gainUp: SIDES, paperLimit: [], displayLimit: [], steps: [],
  overlay: ["print", ...AFTER],
};
const IDENTITY = [1, 0, 0, 0, 1, 0, 0, 0, 1];

/* internal format, format, type of data with so many channels */
function formats(gl, data, channels) {
  const float = data instanceof Float32Array;
  const internal = float
    ? { 1: gl.R32F, 3: gl.RGB32F, 4: gl.RGBA32F }
    : { 1: gl.R16UI, 3: gl.RGB16UI, 4: gl.RGBA16UI };
  const format = float
    ? { 1: gl.RED, 3: gl.RGB, 4: gl.RGBA }
    : { 1: gl.RED_INTEGER, 3: gl.RGB_INTEGER, 4: gl.RGBA_INTEGER };
  return [internal[channels], format[channels], float ? gl.FLOAT : gl.UNSIGNED_SHORT];
}

export class LiveEngine {
  /* Throws where there is no WebGL 2, or where it cannot do what is needed. */
  constructor(canvas) {
    this.canvas = canvas;
    this.gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false });
    if (!this.gl) throw new Error("WebGL 2 is not available");
    this.tables = {};
    this.pictures = { whole: null, tile: null };
    this.relief = null;
    this.reliefs = 0;
    this.uniforms = {};
    this.changes = 0; /* of all that is drawn from, counted */
    this.coarse = false;
    this.developments = 0; /* so often a picture was worked out */
    this.restart();
  }

  /* Begin anew, also after the context was lost: all textures are made again. */
  restart() {
    const gl = this.gl;
    this.textures = new Map();
    this.targets = new Map();
    this.dirty = new Set(ALL);
    this.programs = new Map();
    this.lamp = null; /* made when one is lit */
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.bindVertexArray(gl.createVertexArray());
    gl.disable(gl.DITHER);
  }

  /* a shader's program for these facts, made at its first use */
  program(shader, facts) {
    const text = shader(facts);
    if (!this.programs.has(text)) this.programs.set(text, program(this.gl, text));
    return this.programs.get(text);
  }

  /* kind "whole" or "tile"; data Uint16Array of 1, 3 or 4 channels, rows from the top; null for none */
  setPicture(kind, data, width, height, box = [0, 0, 1, 1]) {
    this.drop(kind);
    this.pictures[kind] =
      data && { data, width, height, channels: data.length / (width * height), box };
    this.mark([`${kind} before`, `${kind} after`]);
  }

  /* data Uint16Array of 3 channels: height in mm, slope to the right and upwards, each as steps
     `step` from `low`, its edges fitting; `pitch` mm a texel, `alpha` its roughness, `rise` from
     its lowest to its highest in mm, `steepest` its steepest slope; null for none */
  setRelief(relief) {
    this.drop("relief");
    this.relief = relief;
    this.reliefs++;
  }

  /* what must be made anew at the next drawing */
  mark(names) {
    for (const name of names) this.dirty.add(name);
    this.changes++;
  }

  /* "print" and "own": media-relative Lab of a picture's colours, printed and by themselves;
     "beyond": CIEDE2000 beyond the paper; "curves": adjustments, 65536 codes a channel;
     "display": canvas values and distance for Lab.  null removes. */
  setTable(name, data, channels) {
    this.drop(name);
    if (data) this.tables[name] = { data, channels };
    else delete this.tables[name];
    const touched = { print: ["print"], own: ["own"], display: ["print", "own"] };
    this.mark([...(touched[name] ?? []), ...(["own", "display"].includes(name) ? SIDES : AFTER)]);
  }

  setUniforms(changes) {
    for (const [name, value] of Object.entries(changes)) {
      if (JSON.stringify(this.uniforms[name]) === JSON.stringify(value)) continue;
      this.uniforms[name] = value;
      this.mark(TOUCHED[name]);
    }
  }

  /* whether pictures are worked out with half the pixels a side, for a slow machine while
     something moves; what was, is worked out whole afterwards */
  setCoarse(coarse) {
    if (coarse === this.coarse) return;
    this.coarse = coarse;
    const left = coarse ? [] : SIDES.filter((side) => this.targets.get(side)?.by > 1);
    if (left.length) this.mark(left);
  }

  get ready() {
    return Boolean(this.pictures.whole && this.tables.own && !this.gl.isContextLost());
  }

  drop(name) {
    for (const each of [name, `${name} before`, `${name} after`]) {
      const texture = this.textures.get(each);
      if (texture) this.gl.deleteTexture(texture);
      this.textures.delete(each);
      const target = this.targets.get(each);
      if (target) {
        this.gl.deleteFramebuffer(target.frame);
        this.gl.deleteTexture(target.texture);
        if (target.distances) this.gl.deleteTexture(target.distances);
      }
      this.targets.delete(each);
    }
  }

  texture(name, data, width, height, channels) {
    const gl = this.gl;
    if (!this.textures.has(name)) {
      const made = gl.createTexture();
      gl.bindTexture(gl.TEXTURE_2D, made);
      const [internal, format, type] = formats(gl, data, channels);
      gl.texImage2D(gl.TEXTURE_2D, 0, internal, width, height, 0, format, type, data);
      this.plain();
      this.textures.set(name, made);
    }
    return this.textures.get(name);
  }

  plain(filter = this.gl.NEAREST) {
    const gl = this.gl;
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, filter);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, filter);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
  }

  tableTexture(name) {
    const { data, channels } = this.tables[name];
    const texels = data.length / channels;
    const [width, height] =
      name === "curves" ? [256, 256]
      : texels === GREY_NODES ? [GREY_NODES, 1]
      : [NODES * NODES, NODES];
    if (texels !== width * height) throw new Error(`the table "${name}" has ${texels} nodes`);
    return this.texture(name, data, width, height, channels);
  }

  /* form: RGBA8, RGBA16UI or R32UI; withDistances: two more numbers a pixel */
  target(name, width, height, form, withDistances = false) {
    const gl = this.gl;
    if (this.targets.get(name)?.width !== width || this.targets.get(name).height !== height) {
      this.drop(name); /* only its former size */
      const frame = gl.createFramebuffer();
      gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
      const texture = this.attached(gl.COLOR_ATTACHMENT0, width, height, form);
      const distances = withDistances
        ? this.attached(gl.COLOR_ATTACHMENT1, width, height, gl.RG32UI)
        : null;
      if (distances) gl.drawBuffers([gl.COLOR_ATTACHMENT0, gl.COLOR_ATTACHMENT1]);
      this.targets.set(name, { texture, distances, frame, width, height });
    }
    return this.targets.get(name);
  }

  attached(place, width, height, form) {
    const gl = this.gl;
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    const [format, type] = {
      [gl.RGBA8]: [gl.RGBA, gl.UNSIGNED_BYTE],
      [gl.RGBA16UI]: [gl.RGBA_INTEGER, gl.UNSIGNED_SHORT],
      [gl.R32UI]: [gl.RED_INTEGER, gl.UNSIGNED_INT],
      [gl.RG32UI]: [gl.RG_INTEGER, gl.UNSIGNED_INT],
    }[form];
    gl.texImage2D(gl.TEXTURE_2D, 0, form, width, height, 0, format, type, null);
    this.plain(form === gl.RGBA8 ? gl.LINEAR : gl.NEAREST);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, place, gl.TEXTURE_2D, texture, 0);
    return texture;
  }

  run({ made, place }, frame, width, height, samplers, set) {
    const gl = this.gl;
    gl.useProgram(made);
    Object.entries(samplers).forEach(([name, texture], unit) => {
      gl.activeTexture(gl.TEXTURE0 + unit);
      gl.bindTexture(gl.TEXTURE_2D, texture);
      gl.uniform1i(place(name), unit);
    });
    set(place);
    gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
    gl.viewport(0, 0, width, height);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  /* the tables in the values of the canvas */
  show(name) {
    const gl = this.gl;
    const nodes = this.tableTexture(name);
    const grey = this.tables[name].data.length === 3 * GREY_NODES;
    const [width, height] = grey ? [GREY_NODES, 1] : [NODES * NODES, NODES];
    const target = this.target(`shown ${name}`, width, height, gl.RGBA16UI);
    const byTable = Boolean(this.tables.display);
    const { gain = [1, 1, 1], toDisplay = IDENTITY, fromDisplay = IDENTITY, toScreen = IDENTITY } =
      this.uniforms;
    const display = byTable ? this.tableTexture("display") : nodes;
    const samplers = { nodes, display, own: this.tableTexture("own") };
    const overlay = name === "print" ? this.uniforms.overlay : 0;
    const seen = name === "print" ? gain : [1, 1, 1];
    const shader = this.program(shownShader, {
      byTable, ofDisplay: overlay === 2, apart: overlay === 3, gained: seen.some((each) => each !== 1),
    });
    this.run(shader, target.frame, width, height, samplers, (place) => {
      gl.uniform3fv(place("gain"), seen);
      gl.uniformMatrix3fv(place("toDisplay"), true, toDisplay);
      gl.uniformMatrix3fv(place("fromDisplay"), true, fromDisplay);
      gl.uniformMatrix3fv(place("toScreen"), true, toScreen);
    });
  }

  develop(kind, side) {
    const gl = this.gl;
    const { data, width, height, channels } = this.pictures[kind];
    const grey = channels === 1;
    const name = side === "after" ? "print" : "own";
    const picture = this.texture(kind, data, width, height, channels);
    const by = this.coarse ? 2 : 1;
    const target = this.target(
      `${kind} ${side}`, Math.ceil(width / by), Math.ceil(height / by), gl.RGBA8, side === "after",
    );
    this.developments++;
    const { overlay = 0, gainUp = 1 } = this.uniforms;
    const adjusted = side === "after" && Boolean(this.tables.curves);
    const ofPaper = side === "after" && Boolean(this.tables.beyond) && (overlay === 1 || overlay === 2);
    const samplers = {
      picture,
      curves: adjusted ? this.tableTexture("curves") : picture,
      shown: this.targets.get(`shown ${name}`).texture,
      beyond: ofPaper ? this.tableTexture("beyond") : this.tableTexture(name),
    };
    const shader = this.program(developedShader, { grey, adjusted, ofPaper, brighter: gainUp !== 1 });
    this.run(shader, target.frame, target.width, target.height, samplers, (place) => {
      gl.uniform1i(place("by"), by);
      gl.uniform1f(place("gainUp"), gainUp);
    });
    Object.assign(target, { by, small: false });
  }

  /* Bring up to date what is seen of tables and pictures; the rest waits until it is. */
  update(sides) {
    for (const name of ["print", "own"])
      if (this.dirty.delete(name) && this.tables[name]) this.show(name);
    for (const kind of ["whole", "tile"])
      for (const side of sides)
        if (this.pictures[kind] && this.dirty.delete(`${kind} ${side}`)) this.develop(kind, side);
  }

  /* origin and size of the picture in canvas pixels; divider 0..1; lit: the lamp and what it
     shines on, or null, and whiteLight the bare sheet's light */
  draw(seen) {
    if (!this.ready) return false;
    if (!seen.lit) return this.compose(seen, null);
    this.lamp ??= new LampPass(this);
    const { lit, whiteLight, ...below } = seen;
    const frame = this.lamp.input(JSON.stringify([below, this.changes]));
    if (frame && !this.compose(below, frame)) return false;
    this.lamp.draw(seen, lit, whiteLight);
    return true;
  }

  compose({ origin, size, divider, line, surround, marks, stepColours }, frame) {
    const gl = this.gl;
    const { paperLimit = 0, displayLimit = 0, steps = [0, 0, 0, 0] } = this.uniforms;
    const wanted = this.uniforms.overlay ?? 0;
    const overlay = this.tables.print && (this.tables.beyond || wanted === 3) ? wanted : 0;
    const printed = this.tables.print && divider < 1;
    const plain = !this.tables.print || divider > 0 || overlay === 2;
    this.update([...(plain ? ["before"] : []), ...(printed || overlay ? ["after"] : [])]);
    const { width, height } = this.pictures.whole;
    /* where only one of the two is seen, it stands for both */
    const pair = (kind) => {
      const two = ["before", "after"].map((side) => this.targets.get(`${kind} ${side}`));
      if (!plain) two[0] = two[1];
      if (!printed && !overlay) two[1] = two[0];
      return two;
    };
    const [before, after] = pair("whole");
    const tile = this.pictures.tile ? pair("tile") : null;
    const by = Math.max(before.by, after.by);
    const exact =
      by === 1 && size[0] === width && size[1] === height && Number.isInteger(origin[0]) && Number.isInteger(origin[1]);
    const small = !exact && size[0] < 0.7 * width;
    for (const each of [before, after]) {
      gl.activeTexture(gl.TEXTURE0);
      gl.bindTexture(gl.TEXTURE_2D, each.texture);
      if (small && !each.small) gl.generateMipmap(gl.TEXTURE_2D);
      each.small = small || each.small;
      gl.texParameteri(
        gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, small ? gl.LINEAR_MIPMAP_LINEAR : gl.LINEAR,
      );
    }
    const samplers = {
      before: before.texture,
      after: after.texture,
      tileBefore: (tile ?? [before])[0].texture,
      tileAfter: (tile ?? [before, after])[1].texture,
      distances: after.distances ?? this.textures.get("whole"),
      tileDistances: tile?.[1].distances ?? after.distances ?? this.textures.get("whole"),
    };
    const place = [this.canvas.width, this.canvas.height];
    const hasTile = Boolean(tile) && !exact;
    const shader = this.program(composedShader, {
      overlay, exact, hasTile, parts: divider >= 1 ? 1 : divider > 0 ? 2 : 0,
    });
    this.run(shader, frame, ...place, samplers, (at) => {
      gl.uniform1i(at("line"), line ? 1 : 0);
      gl.uniform1i(at("squares"), tile && this.tileScale(size) >= 2 ? 1 : 0);
      gl.uniform1f(at("level"), small ? Math.max(0, Math.log2(width / by / size[0])) : 0);
      gl.uniform4fv(at("tileBox"), tile ? this.pictures.tile.box : [0, 0, 1, 1]);
      gl.uniform2fv(at("origin"), origin);
      gl.uniform2fv(at("size"), size);
      gl.uniform1f(at("canvasHeight"), this.canvas.height);
      gl.uniform1f(at("cut"), Math.round(divider * size[0]));
      gl.uniform1f(at("paperLimit"), paperLimit);
      gl.uniform1f(at("displayLimit"), displayLimit);
      gl.uniform1fv(at("steps"), steps);
      gl.uniform3fv(at("surround"), surround);
      gl.uniform3fv(at("marks"), marks.flat());
      gl.uniform3fv(at("stepColours"), stepColours.flat());
    });
    return true;
  }

  /* canvas pixels to one of the tile's */
  tileScale(size) {
    const { box, width } = this.pictures.tile;
    return (size[0] * (box[2] - box[0])) / width;
  }

  /* RGBA bytes, rows from the top, of what `draw` has just put on the canvas, or of the
     reduced picture as "before" or "after"; for tests. */
  pixels(which = "canvas") {
    const gl = this.gl;
    this.update(["before", "after"].filter((side) => side === which));
    const target = this.targets.get(`whole ${which}`);
    const [width, height] = target
      ? [target.width, target.height]
      : [this.canvas.width, this.canvas.height];
    gl.bindFramebuffer(gl.FRAMEBUFFER, target ? target.frame : null);
    const data = new Uint8Array(4 * width * height);
    gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, data);
    if (!target) {
      const row = 4 * width;
      for (let y = 0; y < height >> 1; y++) {
        const other = height - 1 - y;
        const kept = data.slice(y * row, (y + 1) * row);
        data.copyWithin(y * row, other * row, (other + 1) * row);
        data.set(kept, other * row);
      }
    }
    return { data, width, height };
  }

  dispose() {
    for (const name of [...this.textures.keys()]) this.drop(name);
    this.gl.getExtension("WEBGL_lose_context")?.loseContext();
  }
}
