/* What a taken-away page does: unpack what stands in it, and let its controls move the live view. */

const scene = JSON.parse(document.getElementById("scene").textContent);
const KINDS = { uint8: Uint8Array, uint16: Uint16Array, int16: Int16Array };

async function unpack({ data, kind, channels }) {
  const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const planes = new Uint8Array(await new Response(stream).arrayBuffer());
  const made = new KINDS[kind](planes.length / KINDS[kind].BYTES_PER_ELEMENT);
  const low = made.length;
  const wide = KINDS[kind].BYTES_PER_ELEMENT === 2;
  for (let i = 0; i < low; i++) {
    const step = wide ? planes[i] | (planes[low + i] << 8) : planes[i];
    made[i] = step + (i >= channels ? made[i - channels] : 0); /* wraps around, as it was made */
  }
  return made;
}

const floats = (values, steps) => Float32Array.from(values, (v) => v / steps);
const by = (id) => document.getElementById(id);

async function begin() {
  const view = createLiveView(by("view"), { onUniform: heard });
  const picture = await unpack(scene.picture);
  const own = floats(await unpack(scene.own), scene.labSteps);
  const tables = new Map();
  let turn = 0;

  async function tablesOf(number) {
    if (!tables.has(number)) {
      const { print, beyond, lit } = scene.papers[number];
      tables.set(number, [
        floats(await unpack(print), scene.labSteps), floats(await unpack(beyond), scene.beyondSteps),
        lit && { ...lit.facts, data: await unpack(lit.relief) },
      ]);
    }
    return tables.get(number);
  }

  async function choose(number) {
    const mine = ++turn;
    const [print, beyond, relief] = await tablesOf(number);
    if (mine !== turn) return;
    view.setTable("print", print, 3);
    view.setTable("beyond", beyond, 1);
    view.setRelief(relief);
    const { glossShare, paperY } = scene.papers[number].lit?.uniforms ?? {};
    if (relief) view.setUniforms({ glossShare, paperY });
    by("lamp").disabled = !relief;
    light();
    view.setUniforms({ ...scene.papers[number].uniforms, adaptation: Number(by("adaptation").value) / 100 });
    document.querySelectorAll("[data-paper]").forEach((each) => {
      each.hidden = Number(each.dataset.paper) !== number;
    });
    view.setUniforms({ label: tr("{title} on {paper}", { title: scene.title, paper: scene.papers[number].name }) });
    document.body.dataset.shown = String(number);
  }

  function light() {
    view.setUniforms({ lamp: by("lamp").checked && !by("lamp").disabled });
  }

  function heard(name, value) {
    if (name !== "divider") return;
    by("divider").value = String(Math.round(100 * value));
    told("divider", `${by("divider").value} %`);
  }

  const told = (id, text) => {
    by(`${id}-told`).textContent = text;
  };
  const moves = {
    even: (v) => {
      view.setUniforms({ even_light: v / 100 });
      told("even", `${v} %`);
    },
    adaptation: (v) => {
      view.setUniforms({ adaptation: v / 100 });
      told("adaptation", `${v} %`);
    },
    threshold: (v) => {
      view.setUniforms({ threshold: v });
      told("threshold", `${asWritten(v)} CIEDE2000`);
    },
    divider: (v) => {
      view.setUniforms({ divider: v / 100, divided: v > 0 });
      told("divider", `${v} %`);
    },
  };
  for (const [id, move] of Object.entries(moves)) {
    by(id).addEventListener("input", (e) => move(Number(e.target.value)));
  }
  by("overlay").addEventListener("change", (e) => view.setUniforms({ overlay: e.target.checked ? 1 : 0 }));
  by("lamp").addEventListener("change", light);
  document.querySelectorAll("input[name=paper]").forEach((each) =>
    each.addEventListener("change", () => choose(Number(each.value))),
  );

  view.setTable("own", own, 3);
  view.setUniforms({ ...scene.uniforms, ...scene.papers.find(({ lit }) => lit)?.lit.uniforms, overlay: 0 });
  view.setPicture(picture, scene.width, scene.height);
  await choose(0);
  for (const [id, move] of Object.entries(moves)) move(Number(by(id).value));
  by("stills").hidden = true;
  by("controls").hidden = false;
  globalThis.liveView = view;
}

begin().catch((problem) => {
  /* without WebGL 2, or in an old browser: the pictures that stand in the page serve */
  by("view").replaceChildren();
  by("stills").hidden = false;
  document.body.dataset.shown = "stills";
  console.info("The live picture cannot be shown here:", problem.message);
});
