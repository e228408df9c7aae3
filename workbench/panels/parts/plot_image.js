/* A plot's pixels: a whole picture now and then, and between them only what has changed. */

function words(view) {
  const { buffer, byteOffset, byteLength } = view;
  return new Uint32Array(buffer.slice(byteOffset, byteOffset + byteLength));
}

function render({ model, el }) {
  const canvas = document.createElement("canvas");
  canvas.className = "wb-plot";
  canvas.setAttribute("role", "img");
  canvas.hidden = true; /* until there is something to see */
  el.append(canvas);
  const context = canvas.getContext("2d", { alpha: false, willReadFrequently: true });
  let image = null, pixels = null;
  let number = 0; /* of what is on the canvas */
  let decoding = 0;
  let lacking = false; /* a whole has been asked for */
  const waiting = []; /* changes of a whole that is still to come */

  const name = `plot ${Math.random()}`;
  const shown = (now) => {
    number = now;
    canvas.dataset.frame = `${name}, frame ${now}`; /* for those who watch the page */
  };
  const ask = () => model.send({ have: number });

  const change = (now, runs, values) => {
    let at = 0;
    for (let i = 0; i < runs.length; i += 2) {
      pixels.set(values.subarray(at, at + runs[i + 1]), runs[i]);
      at += runs[i + 1];
    }
    const { width } = canvas;
    const top = Math.floor(runs[0] / width);
    const bottom = Math.floor((runs.at(-2) + runs.at(-1) - 1) / width);
    context.putImageData(image, 0, 0, 0, top, width, bottom - top + 1);
    shown(now);
  };

  /* in the order in which they came; what is older than the canvas is in it already */
  const takeChanges = () => {
    while (waiting.length && !decoding) {
      if (waiting[0][0] > number + 1) {
        if (!lacking) ask();
        lacking = true;
        return;
      }
      const next = waiting.shift();
      if (next[0] > number) change(...next);
    }
  };

  const takeWhole = async () => {
    const { data, number: now, width, height } = model.get("whole");
    if (!data || now === number) return;
    decoding++;
    const bitmap = await createImageBitmap(new Blob([data], { type: "image/png" })).finally(() => decoding--);
    lacking = false;
    if (now > number) {
      canvas.width = bitmap.width;
      canvas.height = bitmap.height;
      canvas.style.width = `${width}px`;
      canvas.style.aspectRatio = `${width} / ${height}`;
      canvas.hidden = false;
      context.drawImage(bitmap, 0, 0);
      image = context.getImageData(0, 0, bitmap.width, bitmap.height);
      pixels = new Uint32Array(image.data.buffer);
      shown(now);
    }
    bitmap.close();
    takeChanges();
  };

  const heard = (content, buffers) => {
    if (content?.number === undefined) return;
    waiting.push([content.number, ...buffers.map(words)]);
    takeChanges();
  };
  const whole = () => void takeWhole();
  model.on("change:whole", whole);
  model.on("msg:custom", heard);
  /* what has changed since a page's state was saved or sent is not in it */
  void takeWhole().then(ask);

  return () => {
    model.off("change:whole", whole);
    model.off("msg:custom", heard);
  };
}

export default { render };
