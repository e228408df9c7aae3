/* A row of tabs with a word and a few figures each, after the tabs pattern of ARIA practices:
   one stop for the tab key, arrows and Home and End within, the chosen one opens its panel. */

const REST_MS = 150; /* arrows that run past a tab do not open it */

function render({ model, el }) {
  const list = document.createElement("div");
  list.className = `wb-tab-row wb-tab-row-${model.get("rank")}`;
  list.setAttribute("role", "tablist");
  list.setAttribute("aria-label", model.get("label"));
  el.replaceChildren(list);
  let resting = 0;

  const choose = (name) => {
    clearTimeout(resting);
    /* told even where it is chosen already: a click always leads back to its page */
    model.send({ chosen: name });
    if (model.get("chosen") === name) return;
    model.set("chosen", name);
    model.save_changes();
  };

  const line = (css) => {
    const made = document.createElement("span");
    made.className = css;
    return made;
  };

  const button = (name) => {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "wb-tab";
    made.dataset.name = name;
    made.setAttribute("role", "tab");
    made.append(line("wb-tab-word"), line("wb-tab-said"));
    made.addEventListener("click", () => choose(name));
    return made;
  };

  const show = () => {
    const tabs = model.get("tabs");
    const names = tabs.map(([name]) => name);
    if ([...list.children].map((each) => each.dataset.name).join() !== names.join()) {
      list.replaceChildren(...names.map(button));
    }
    const chosen = model.get("chosen");
    tabs.forEach(([name, word, said, controls], at) => {
      const tab = list.children[at];
      const here = name === chosen;
      tab.setAttribute("aria-selected", String(here));
      tab.tabIndex = here ? 0 : -1;
      if (controls) tab.setAttribute("aria-controls", controls);
      tab.title = said;
      [word, said].forEach((text, line) => {
        const shown = tab.children[line];
        if (shown.textContent !== text) shown.textContent = shown.dataset.text = text;
      });
    });
  };

  list.addEventListener("keydown", (e) => {
    const tabs = [...list.children];
    const at = tabs.indexOf(document.activeElement);
    const to = {
      ArrowRight: at + 1,
      ArrowLeft: at - 1,
      Home: 0,
      End: tabs.length - 1,
    }[e.key];
    if (to === undefined || at < 0 || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    const next = tabs[(to + tabs.length) % tabs.length];
    next.focus();
    clearTimeout(resting);
    resting = setTimeout(() => choose(next.dataset.name), REST_MS);
  });

  model.on("change:tabs", show);
  model.on("change:chosen", show);
  show();
  return () => {
    clearTimeout(resting);
    model.off("change:tabs", show);
    model.off("change:chosen", show);
  };
}

export default { render };
