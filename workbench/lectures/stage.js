/* Presents a notebook: one idea on screen, no code, no chrome, by keyboard.

   A step begins at each heading; the cells that follow belong to it.  The page is laid out
   800 wide and 450 high and enlarged to the window, so that every projector shows the same. */

const WIDE = 800;
const HIGH = 450;
/* a whole panel has more to show at a time than a step of words */
const PANEL = 0.8;
const KEYS = tr("→ next   ← back   R reveal   0 reset   Esc end");

function stepsOf(box) {
  const steps = [];
  for (const cell of box.querySelectorAll(".jp-Cell")) {
    const head = cell.classList.contains("jp-MarkdownCell") &&
      cell.querySelector(".jp-RenderedMarkdown")?.querySelector(":is(h1, h2, h3):first-child");
    const empty = !cell.querySelector(".jp-RenderedMarkdown, .jp-OutputArea-child");
    if (!steps.length || head) steps.push([]);
    if (!empty) steps.at(-1).push(cell);
  }
  return steps.filter((cells) => cells.length);
}

function typing(target) {
  return target?.closest?.("textarea, select, input:not([type=checkbox]):not([type=button]), [contenteditable=true], .noUi-handle, [role=tab], [role=slider]");
}

class Stage {
  constructor(model) {
    this.model = model;
    this.at = 0;
    this.on = false;
    this.keys = (event) => this.pressed(event);
    this.sized = () => this.enlarge();
  }

  begin(el) {
    if (this.on) return;
    this.box = el.closest(".jp-Notebook .jp-WindowedPanel-outer, .jp-NotebookPanel-notebook, .jp-Notebook");
    if (this.box === document.body) this.box = document.getElementById("rendered_cells") ?? this.box;
    if (!this.box) return;
    this.on = true;
    this.steps = stepsOf(this.box);
    this.path = [];
    for (let up = this.box.parentElement; up; up = up.parentElement) this.path.push(up);
    this.path.forEach((each) => each.classList.add("wb-stage-path"));
    this.box.classList.add("wb-stage");
    this.foot = document.createElement("div");
    this.foot.className = "wb-stage-foot";
    this.foot.setAttribute("role", "status");
    this.box.append(this.foot);
    window.addEventListener("keydown", this.keys, true);
    window.addEventListener("resize", this.sized);
    document.documentElement.requestFullscreen?.().catch(() => {});
    this.enlarge();
    this.go(0);
  }

  end() {
    if (!this.on) return;
    this.on = false;
    window.removeEventListener("keydown", this.keys, true);
    window.removeEventListener("resize", this.sized);
    this.path.forEach((each) => each.classList.remove("wb-stage-path"));
    this.box.classList.remove("wb-stage");
    this.box.querySelectorAll(".wb-off, .wb-stage-first").forEach((c) => c.classList.remove("wb-off", "wb-stage-first"));
    this.foot.remove();
    document.documentElement.style.removeProperty("--wb-zoom");
    if (document.fullscreenElement) document.exitFullscreen().catch(() => {});
    window.dispatchEvent(new Event("resize"));
  }

  enlarge() {
    const whole = Math.max(0.5, Math.min(window.innerWidth / WIDE, window.innerHeight / HIGH));
    const panel = this.steps[this.at]?.some((cell) => cell.querySelector(".wb-root"));
    document.documentElement.style.setProperty("--wb-zoom", panel ? PANEL * whole : whole);
    this.fit();
  }

  /* Pictures take the height that the words leave, but never less than half of it. */
  fit() {
    if (!this.on || !this.steps[this.at]) return;
    const root = document.documentElement.style;
    root.setProperty("--wb-picture-px", `${HIGH}px`);
    const images = this.steps[this.at].flatMap((cell) => [...cell.querySelectorAll(".wb-lecture img")]);
    if (images.length !== 1) return;
    const zoom = Number(root.getPropertyValue("--wb-zoom")) || 1;
    const used = this.steps[this.at].reduce((sum, cell) => sum + cell.getBoundingClientRect().height, 0) / zoom;
    const picture = images[0].getBoundingClientRect().height / zoom;
    root.setProperty("--wb-picture-px", `${Math.max(HIGH / 2, HIGH - 26 - (used - picture))}px`);
  }

  go(to) {
    this.at = Math.max(0, Math.min(this.steps.length - 1, to));
    const shown = new Set(this.steps[this.at]);
    this.box.querySelectorAll(".jp-Cell").forEach((cell) => {
      cell.classList.toggle("wb-off", !shown.has(cell));
      cell.classList.toggle("wb-stage-first", cell === this.steps[this.at][0]);
    });
    this.box.scrollTop = 0;
    document.activeElement?.blur?.();
    this.foot.textContent = `${this.at + 1} / ${this.steps.length}${this.at ? "" : "      " + KEYS}`;
    /* what was hidden measures itself anew */
    window.dispatchEvent(new Event("resize"));
    requestAnimationFrame(() => this.enlarge());
    setTimeout(() => this.enlarge(), 250);
  }

  reveal() {
    for (const cell of this.steps[this.at]) {
      const hidden = cell.querySelector(".wb-lecture-reveal[aria-expanded=false], details:not([open])");
      if (!hidden) continue;
      if (hidden.tagName === "DETAILS") hidden.open = true;
      else hidden.click();
      requestAnimationFrame(() => hidden.scrollIntoView({ block: "nearest" }));
      return;
    }
  }

  reset() {
    this.box.querySelectorAll("details[open]").forEach((each) => (each.open = false));
    this.model.send({ reset: true });
    this.go(0);
  }

  pressed(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const inField = typing(event.target);
    const acts = {
      PageDown: () => this.go(this.at + 1),
      PageUp: () => this.go(this.at - 1),
      Escape: () => this.end(),
    };
    if (!inField) {
      Object.assign(acts, {
        ArrowRight: acts.PageDown,
        ArrowLeft: acts.PageUp,
        Home: () => this.go(0),
        End: () => this.go(this.steps.length - 1),
        n: acts.PageDown,
        b: acts.PageUp,
        r: () => this.reveal(),
        0: () => this.reset(),
      });
    }
    const act = acts[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    /* nothing of the notebook's own keys while presenting; Tab, Enter and Space are the browser's */
    if (act || (!inField && event.key.length === 1 && event.key !== " ")) {
      event.stopImmediatePropagation();
      event.preventDefault();
    }
    act?.();
  }
}

export default {
  render({ model, el }) {
    const stage = new Stage(model);
    el.classList.add("wb-lecture");
    const line = document.createElement("div");
    line.className = "wb-lecture-bar-line";
    const said = document.createElement("span");
    said.textContent = model.get("said");
    const button = document.createElement("button");
    button.textContent = tr("Present");
    button.setAttribute("data-lm-suppress-shortcuts", "true");
    button.title = tr("One idea on screen. {keys}", { keys: KEYS });
    button.addEventListener("click", () => stage.begin(el));
    line.append(said, button);
    el.append(line);
    /* an app has no code to hide: there it begins by itself, once all cells are on the page */
    let tries = 0;
    const begin = () => {
      const shown = document.getElementById("rendered_cells")?.offsetHeight;
      if (shown && el.isConnected && el.closest(".jp-Cell")) stage.begin(el);
      else if ((tries += 1) < 600) setTimeout(begin, 100);
    };
    if (document.body.dataset.voila) begin();
    return () => stage.end();
  },
};
