/* The parts of a lecture on the page.  Words are set as text, never as markup. */

function make(name, css, text) {
  const el = document.createElement(name);
  if (css) el.className = css;
  if (text !== undefined) el.textContent = text;
  /* on the control itself, for the notebook has other uses for arrows and Enter */
  if (["button", "input"].includes(name)) el.setAttribute("data-lm-suppress-shortcuts", "true");
  return el;
}

function put(model, values) {
  for (const [name, value] of Object.entries(values)) model.set(name, value);
  model.save_changes();
}

function asked(model, el) {
  el.append(make("p", "wb-lecture-question", model.get("question")));
  const options = model.get("options");
  const list = make("ol", "wb-lecture-options");
  const rows = options.map((option, place) => {
    const row = make("li", "wb-lecture-option");
    const vote = make("button", "wb-lecture-vote", option);
    const fewer = make("button", "wb-lecture-fewer", "−");
    const bar = make("span", "wb-lecture-bar");
    const count = make("span", "wb-lecture-count");
    fewer.setAttribute("aria-label", tr("One vote less for: {option}", { option }));
    const add = (by) => {
      const votes = [...model.get("votes")];
      votes[place] = Math.max(0, (votes[place] ?? 0) + by);
      put(model, { votes });
    };
    vote.addEventListener("click", () => add(1));
    fewer.addEventListener("click", () => add(-1));
    row.append(vote, bar, count, fewer);
    list.append(row);
    return { row, bar, count, fewer };
  });
  if (options.length) el.append(list);
  const reveal = make("button", "wb-lecture-reveal");
  const answer = make("p", "wb-lecture-answer");
  answer.setAttribute("role", "status");
  el.append(reveal, answer);
  reveal.addEventListener("click", () => put(model, { shown: !model.get("shown") }));
  const follow = () => {
    const votes = model.get("votes");
    const shown = model.get("shown");
    const most = Math.max(1, ...votes);
    rows.forEach(({ row, bar, count, fewer }, place) => {
      const n = votes[place] ?? 0;
      bar.style.setProperty("--share", n / most);
      count.textContent = n ? (n === 1 ? tr("1 vote") : tr("{n} votes", { n })) : "";
      fewer.style.visibility = n ? "" : "hidden";
      row.classList.toggle("wb-right", shown && place === model.get("right"));
    });
    reveal.textContent = shown ? tr("Hide the answer") : tr("Show the answer");
    reveal.setAttribute("aria-expanded", String(shown));
    answer.textContent = shown ? model.get("answer") : "";
  };
  model.on("change:votes", follow);
  model.on("change:shown", follow);
  follow();
}

let count = 0;

function knob(model, el) {
  const stops = model.get("stops");
  const head = make("div", "wb-lecture-turn");
  const label = make("label", "", model.get("label"));
  const range = make("input");
  const value = make("output");
  Object.assign(range, { type: "range", min: 0, max: stops.length - 1, step: 1 });
  range.id = `wb-lecture-knob-${(count += 1)}`;
  label.htmlFor = range.id;
  head.append(label, range, value);
  const image = make("img");
  const said = make("p", "wb-lecture-said");
  said.setAttribute("role", "status");
  el.append(head, image, said);
  let shown = "";
  let asks = null;
  const words = () => {
    value.textContent = stops[range.value];
    range.setAttribute("aria-valuetext", stops[range.value]);
  };
  const follow = () => {
    const png = model.get("png");
    const bytes = png?.byteLength ?? 0;
    image.hidden = !bytes;
    if (bytes) {
      const next = URL.createObjectURL(new Blob([png], { type: "image/png" }));
      image.src = next;
      URL.revokeObjectURL(shown);
      shown = next;
    }
    image.alt = model.get("alt");
    said.textContent = model.get("said");
  };
  /* one stop at a time: the next is asked for when the last one is drawn */
  const ask = () => {
    const at = Number(range.value);
    if (asks !== null || at === model.get("at")) return;
    asks = at;
    put(model, { at });
  };
  range.addEventListener("input", () => {
    words();
    ask();
  });
  model.on("change:drawn", () => {
    follow();
    if (asks === null) range.value = model.get("at");
    asks = null;
    words();
    ask();
  });
  range.value = model.get("at");
  words();
  follow();
}

export default {
  render({ model, el }) {
    el.classList.add("wb-lecture");
    (model.get("kind") === "knob" ? knob : asked)(model, el);
  },
};
