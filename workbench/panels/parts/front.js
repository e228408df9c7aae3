/* Keeps names, roles and alternative texts on the page; reports what the screen is. */

const KEYS_STAY_HERE = "data-lm-suppress-shortcuts";
const TAG = "wb-id-";
const CHUNK = 2 << 20; /* well under the 10 MB at which the connection is cut */
const AHEAD = 3; /* pieces under way at a time */
const CONTAINERS = ["tabpanel", "group", "search"];

function controlIn(el) {
  const handles = el.querySelectorAll(".noUi-handle");
  if (handles.length) return [...handles];
  const first = el.matches("input, select, textarea, button")
    ? el
    : el.querySelector("input, select, textarea, button");
  return [first ?? el];
}

function pictureIn(el) {
  return el.matches("img, canvas") ? el : (el.querySelector("img, canvas") ?? el);
}

function put(el, name, value) {
  if (value === null || value === undefined) {
    if (el.hasAttribute(name)) el.removeAttribute(name);
  } else if (el.getAttribute(name) !== String(value)) {
    el.setAttribute(name, value);
  }
}

/* A file goes in pieces, a few under way at a time: the next ones once Python has written
   those, and none any more when it says stop. */
async function sendFile(model, name, event, file) {
  const upload = `${Date.now()}-${Math.random()}`;
  const base = { class: name, event, name: file.name, size: file.size, upload };
  let got = -1;
  let stopped = false;
  let wake = () => {};
  const heard = (message) => {
    if (message?.upload !== upload) return;
    if (message.stop) stopped = true;
    if (message.got !== undefined) got = message.got;
    wake();
  };
  const until = async (ready) => {
    while (!stopped && !ready()) await new Promise((resolve) => (wake = resolve));
  };
  model.on("msg:custom", heard);
  try {
    model.send(base);
    await until(() => got === 0);
    for (let offset = 0; !stopped && offset < file.size; offset += CHUNK) {
      const piece = await file.slice(offset, offset + CHUNK).arrayBuffer();
      await until(() => offset - got < AHEAD * CHUNK);
      if (!stopped) model.send({ ...base, offset }, undefined, [piece]);
    }
  } catch {
    model.send({ ...base, unreadable: true });
  } finally {
    if (!stopped) await until(() => false);
    model.off("msg:custom", heard);
  }
}

function chooseFile(model, name, settings) {
  const input = document.createElement("input");
  input.type = "file";
  input.accept = settings.accept ?? "";
  input.className = "wb-file-input";
  input.style.display = "none";
  input.addEventListener("change", () => {
    const file = input.files?.[0];
    input.remove();
    if (file) sendFile(model, name, "files", file);
  });
  input.addEventListener("cancel", () => input.remove());
  document.body.append(input);
  input.click();
}

/* Files dragged onto an element; it is outlined while they hover over it. */
function takeDrops(model, name, el) {
  const hasFiles = (e) => [...(e.dataTransfer?.types ?? [])].includes("Files");
  const over = (e) => {
    if (!hasFiles(e)) return;
    e.preventDefault();
    e.stopPropagation();
    e.dataTransfer.dropEffect = "copy";
    el.classList.add("wb-drop");
  };
  el.addEventListener("dragenter", over);
  el.addEventListener("dragover", over);
  el.addEventListener("dragleave", (e) => {
    if (!el.contains(e.relatedTarget)) el.classList.remove("wb-drop");
  });
  el.addEventListener("drop", async (e) => {
    if (!hasFiles(e)) return;
    e.preventDefault();
    e.stopPropagation();
    el.classList.remove("wb-drop");
    for (const file of [...e.dataTransfer.files]) await sendFile(model, name, "drop", file);
  });
}

/* A hand on a picture: drags, and arrow keys, as shares of its width and height; at most one
   message for each frame that the screen draws. */
function followHand(model, name, el, settings) {
  const image = pictureIn(el);
  image.tabIndex = 0;
  image.draggable = false;
  image.style.cursor = "grab";
  image.style.touchAction = "none";
  let start = null, next = null, asked = 0;
  const send = (phase, x, y, byX, byY) =>
    model.send({ class: name, event: "hand", phase, x, y, by_x: byX, by_y: byY });
  const at = (e) => {
    const box = image.getBoundingClientRect();
    return [(e.clientX - box.left) / box.width, (e.clientY - box.top) / box.height];
  };
  const flush = () => {
    asked = 0;
    if (next) send("move", ...next);
    next = null;
  };
  image.addEventListener("pointerdown", (e) => {
    if (e.button) return;
    start = at(e);
    image.setPointerCapture(e.pointerId);
    image.style.cursor = "grabbing";
    send("begin", ...start, 0, 0);
  });
  image.addEventListener("pointermove", (e) => {
    if (!start) return;
    const [x, y] = at(e);
    next = [x, y, x - start[0], y - start[1]];
    asked ||= requestAnimationFrame(flush);
  });
  const end = (e) => {
    if (!start) return;
    flush();
    const [x, y] = at(e);
    send("end", x, y, x - start[0], y - start[1]);
    start = null;
    image.style.cursor = "grab";
  };
  image.addEventListener("pointerup", end);
  image.addEventListener("pointercancel", end);
  image.addEventListener("keydown", (e) => {
    const step = e.shiftKey ? 0.1 : 0.01;
    const by = {
      ...(settings.across && { ArrowLeft: [-step, 0], ArrowRight: [step, 0] }),
      ...(settings.down && { ArrowUp: [0, -step], ArrowDown: [0, step] }),
    }[e.key];
    if (!by || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    send("key", 0.5, 0.5, ...by);
  });
}

function hook(model, name, el, mark) {
  el.__wbHooks ??= new Set();
  const once = (event, add) => {
    if (`on-${event}` in mark && mark[`on-${event}`] && !el.__wbHooks.has(event)) {
      el.__wbHooks.add(event);
      add(mark[`on-${event}`]);
    }
  };
  const inner = controlIn(el)[0];
  once("open", () => {
    const tell = () =>
      /* let Jupyter send the new choice first */
      setTimeout(() => model.send({ class: name, event: "open", index: inner.selectedIndex }), 0);
    inner.addEventListener("dblclick", tell);
    inner.addEventListener("keydown", (e) => {
      if (e.key === "Enter") {
        e.preventDefault();
        tell();
      }
    });
  });
  once("enter", () => {
    inner.addEventListener("keydown", (e) => {
      if (e.key === "Enter" && !e.isComposing)
        model.send({ class: name, event: "enter", text: inner.value });
    });
  });
  once("press", (settings) => {
    /* Jupyter may send a click before the text typed just before it */
    const press = (e) => {
      e.stopImmediatePropagation();
      const field = document.getElementsByClassName(settings.field)[0];
      model.send({ class: name, event: "press", text: field ? controlIn(field)[0].value : "" });
    };
    el.addEventListener("click", press, { capture: true });
  });
  once("files", (settings) => {
    el.addEventListener("click", () => chooseFile(model, name, settings));
  });
  once("hand", (settings) => followHand(model, name, el, settings));
  once("drop", () => takeDrops(model, name, el));
  once("width", () => {
    let last = 0;
    let timer = 0;
    new ResizeObserver(() => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        const width = Math.floor(el.clientWidth);
        if (width === last || width === 0) return;
        last = width;
        model.send({ class: name, event: "width", width });
      }, 120);
    }).observe(el);
  });
  once("focus", (other) => {
    el.addEventListener("click", () => {
      const target = document.getElementsByClassName(other)[0];
      if (target) controlIn(target)[0].focus();
    });
  });
}

function applyTo(model, name, el, mark) {
  for (const [key, value] of Object.entries(mark)) {
    if (key.startsWith("on-")) continue;
    if (CONTAINERS.includes(mark.role)) {
      put(el, key, value); /* of its own, not of the first control inside */
    } else if (key === "aria-label" || key === "title" || key === "aria-invalid") {
      const inside = controlIn(el);
      inside.forEach((each, i) => put(each, key, Array.isArray(value) ? value[i] : value));
      if (key === "title") put(el, key, value);
    } else if (key === "alt") {
      const picture = pictureIn(el);
      put(picture, picture.matches("canvas") ? "aria-label" : key, value);
    } else {
      put(el, key, value);
    }
  }
  hook(model, name, el, mark);
}

/* Keeps marks on elements.  A desk has hundreds, and something on it changes with every move
   of a slider: only elements that are new, or around what is new, and marks that have changed
   are looked at. */
function marker(model) {
  const marks = {};
  const fresh = new Set();
  const touched = new Set();
  let scheduled = false;
  const own = (el) => [...el.classList].filter((name) => name.startsWith(TAG));

  const apply = () => {
    scheduled = false;
    const elements = new Set();
    for (const node of touched) {
      if (!node.isConnected) continue;
      for (const each of node.querySelectorAll(`[class*="${TAG}"]`)) elements.add(each);
      /* what is inside a marked element may carry its mark */
      for (let each = node; each; each = each.parentElement) elements.add(each);
    }
    touched.clear();
    for (const el of elements) {
      for (const name of own(el)) if (marks[name]) applyTo(model, name, el, marks[name]);
    }
    for (const name of fresh) {
      for (const el of document.getElementsByClassName(name)) applyTo(model, name, el, marks[name]);
    }
    fresh.clear();
  };
  const take = (more) => {
    for (const [name, mark] of Object.entries(more)) {
      if (JSON.stringify(marks[name]) === JSON.stringify(mark)) continue;
      marks[name] = mark;
      fresh.add(name);
    }
    soon();
  };
  /* a timer, because animation frames stop in hidden tabs */
  const soon = () => {
    if (!scheduled) setTimeout(apply, 16);
    scheduled = true;
  };
  const seen = (changes) => {
    for (const { type, target, addedNodes } of changes) {
      if (type === "attributes" && !own(target).length) continue;
      const nodes = type === "attributes" ? [target] : addedNodes;
      for (const node of nodes) if (node instanceof Element) touched.add(node);
    }
    if (touched.size) soon();
  };
  return { apply, take, seen };
}

/* A control that has just been brought into view may take a moment to be there. */
function focusOn(name, tries = 60) {
  const el = document.getElementsByClassName(name)[0];
  if (el && el.offsetParent !== null) {
    const target = controlIn(el)[0];
    target.focus({ preventScroll: true });
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    el.scrollIntoView({ block: "center", behavior: still ? "auto" : "smooth" });
    if (document.activeElement === target) return;
  }
  if (tries > 0) setTimeout(() => focusOn(name, tries - 1), 50);
}

function pageIsDark() {
  const said = document.body.dataset.jpThemeLight;
  if (said !== undefined) return said === "false";
  return matchMedia("(prefers-color-scheme: dark)").matches;
}

/* The notebook's shortcuts (arrows, Enter, letters) must not fire while a control
   of ours has the focus; those with Ctrl, Cmd or Alt, and Shift+Enter, still may. */
function keepKeys(e) {
  const target = e.target;
  if (!(target instanceof Element) || !target.closest(".wb-root")) return;
  const forPage = e.ctrlKey || e.metaKey || e.altKey || (e.shiftKey && e.key === "Enter");
  /* on the element itself: the notebook looks no further up once it matches */
  if (forPage) target.removeAttribute(KEYS_STAY_HERE);
  else target.setAttribute(KEYS_STAY_HERE, "true");
}

/* Undo and redo, with the buttons that say so; typed text keeps the browser's own undo */
function shortcuts(e) {
  const target = e.target;
  const key = e.key.toLowerCase();
  if (!(e.ctrlKey || e.metaKey) || e.altKey || !(key === "z" || key === "y")) return;
  if (!(target instanceof Element)) return;
  const root = target.closest(".wb-root");
  if (!root || target.closest("textarea, [contenteditable=true]")) return;
  if (target instanceof HTMLInputElement && !["checkbox", "radio", "range"].includes(target.type))
    return;
  const keys = key === "y" ? "Control+Y" : e.shiftKey ? "Control+Shift+Z" : "Control+Z";
  const button = root.querySelector(`[aria-keyshortcuts~="${keys}"]`);
  if (!button) return;
  e.preventDefault();
  e.stopImmediatePropagation();
  button.click();
}

/* What is new comes as a message, without the rest of the table; a view that is made later has
   it from here. */
function initialize({ model }) {
  const keep = (content) => content?.marks && Object.assign(model.get("marks"), content.marks);
  model.on("msg:custom", keep);
  return () => model.off("msg:custom", keep);
}

function render({ model, el }) {
  el.classList.add("wb-front");
  const stop = new AbortController();
  const { signal } = stop;
  const { apply, take, seen } = marker(model);
  const takeAll = () => take(model.get("marks"));

  const report = () => {
    const now = {
      /* presented, the page is enlarged as well */
      pixel_ratio: (window.devicePixelRatio || 1) *
        (Number(document.documentElement.style.getPropertyValue("--wb-zoom")) || 1),
      dark_theme: pageIsDark(),
      window_px: [window.innerWidth, window.innerHeight],
      ready: true,
    };
    let changed = false;
    for (const [key, value] of Object.entries(now)) {
      if (String(model.get(key)) !== String(value)) {
        model.set(key, value);
        changed = true;
      }
    }
    if (changed) model.save_changes();
  };

  let resting = 0;
  const resized = () => {
    clearTimeout(resting);
    resting = setTimeout(report, 150);
  };
  const heard = (content) => {
    if (content?.focus) focusOn(content.focus);
    if (content?.marks) take(content.marks);
  };

  const watchRatio = () => {
    if (signal.aborted) return;
    matchMedia(`(resolution: ${window.devicePixelRatio}dppx)`).addEventListener(
      "change",
      () => {
        report();
        watchRatio();
      },
      { once: true, signal },
    );
  };

  const page = new MutationObserver(seen);
  page.observe(document.body, { childList: true, subtree: true, attributeFilter: ["class"] });
  const theme = new MutationObserver(report);
  theme.observe(document.body, { attributeFilter: ["data-jp-theme-light"] });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", report, { signal });
  /* on window and in the capture phase, so that it runs before the notebook's own */
  window.addEventListener("keydown", keepKeys, { capture: true, signal });
  window.addEventListener("keydown", shortcuts, { capture: true, signal });
  window.addEventListener("resize", resized, { signal });
  model.on("change:marks", takeAll);
  model.on("msg:custom", heard);

  watchRatio();
  report();
  takeAll();
  apply();

  return () => {
    stop.abort();
    page.disconnect();
    theme.disconnect();
    model.off("change:marks", takeAll);
    model.off("msg:custom", heard);
    clearTimeout(resting);
  };
}

export default { initialize, render };
