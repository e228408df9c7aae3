/* Ties a live view (the module above, in one piece with this) to its Jupyter model. */

const TABLES = ["own", "print", "beyond", "curves", "display"];
/* what a hand moves here is newer than what Python has answered to, until it rests */
const REST_OF_HANDS_MS = 600;

function numbers(part) {
  const { data } = part;
  const buffer = data.buffer.slice(data.byteOffset, data.byteOffset + data.byteLength);
  return part.kind === "float32" ? new Float32Array(buffer) : new Uint16Array(buffer);
}

function render({ model, el }) {
  el.classList.add("wb-live-host");
  let view = null;
  const tell = (event, more) => model.send({ event, ...more });
  const lately = new Map();
  const hands = new Map();
  const links = new Map();
  const sliders = new Map();
  let waiting = 0;

  /* everything on the page that follows the slider, and Python, hear of a hand by the slider */
  const handMoved = (name, value) => {
    lately.set(name, performance.now());
    hands.set(name, performance.now());
    const moved = sliders.get(name);
    if (!moved) return;
    moved.slider.set("value", value * moved.per, { hand: el });
    moved.slider.save_changes();
  };

  try {
    view = createLiveView(el, {
      onUniform: handMoved,
      onPick: (x, y) => tell("pick", { x, y }),
      onTile: (wish) => tell("tile", wish),
      onRelief: (pixelMm) => tell("relief", { pixel_mm: pixelMm }),
      onScreenPpi: (ppi) => tell("screen_ppi", { ppi }),
      onState: (state) => tell("state", { state }),
    });
  } catch (problem) {
    console.info(`the live view is not used: ${problem.message}`);
  }
  if (model.get("webgl") !== Boolean(view)) {
    model.set("webgl", Boolean(view));
    model.save_changes();
  }
  if (!view) return undefined;
  view.canvas.classList.add("wb-picture");

  const takeUniforms = () => {
    const now = performance.now();
    const given = {};
    let held = false;
    for (const [name, value] of Object.entries(model.get("uniforms"))) {
      if (now - (lately.get(name) ?? -Infinity) < REST_OF_HANDS_MS) held = true;
      else given[name] = value;
    }
    view.setUniforms(given);
    clearTimeout(waiting);
    if (held) waiting = setTimeout(takeUniforms, REST_OF_HANDS_MS);
  };

  const takeTable = (name) => {
    const part = model.get(`table_${name}`);
    view.setTable(name, part.data ? numbers(part) : null, part.channels);
  };
  const takePicture = () => {
    const part = model.get("picture");
    if (part.data) view.setPicture(numbers(part), part.width, part.height);
  };
  const takeTile = () => {
    const part = model.get("tile");
    if (part.data) view.setTile(numbers(part), part.width, part.height, part.box);
  };

  const takeRelief = () => {
    const { data, ...facts } = model.get("relief");
    view.setRelief(data ? { ...facts, data: numbers(model.get("relief")) } : null);
  };

  /* changes of one message are taken together, in an order in which they fit */
  const changed = new Set();
  const take = () => {
    for (const name of TABLES) if (changed.has(`table_${name}`)) takeTable(name);
    if (changed.has("uniforms")) takeUniforms();
    if (changed.has("picture")) takePicture();
    if (changed.has("tile")) takeTile();
    if (changed.has("relief")) takeRelief();
    changed.clear();
  };
  const names = [...TABLES.map((name) => `table_${name}`), "uniforms", "picture", "tile", "relief"];
  const listeners = names.map((name) => {
    const listener = () => {
      if (!changed.size) queueMicrotask(take);
      changed.add(name);
    };
    model.on(`change:${name}`, listener);
    return [`change:${name}`, listener];
  });
  for (const name of names) changed.add(name);
  take();

  /* sliders of the page move uniforms by themselves; Python hears of them as always */
  const link = async () => {
    for (const [name, id, per] of model.get("links")) {
      const key = `${name} ${id}`;
      if (links.has(key)) continue;
      links.set(key, null);
      try {
        const slider = await model.widget_manager.get_model(id);
        const listener = (_slider, _value, { hand } = {}) => {
          if (hand === el) return;
          /* it may follow a hand on this picture, late and in steps; another hand is newer */
          if (hand) hands.delete(name);
          else if (performance.now() - (hands.get(name) ?? -Infinity) < REST_OF_HANDS_MS) return;
          lately.set(name, performance.now());
          view.setUniforms({ [name]: slider.get("value") / per });
        };
        slider.on("change:value", listener);
        sliders.set(name, { slider, per });
        links.set(key, () => slider.off("change:value", listener));
      } catch {
        links.delete(key); /* not on this page */
      }
    }
  };
  const relink = () => void link();
  model.on("change:links", relink);
  relink();

  return () => {
    for (const [event, listener] of listeners) model.off(event, listener);
    model.off("change:links", relink);
    for (const off of links.values()) off?.();
    clearTimeout(waiting);
    view.dispose();
  };
}

export default { render };
