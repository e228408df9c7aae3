// Runs the desk's one cell when its page opens, since JupyterLab itself never
// runs a notebook unasked.  Any other cell, and our own once somebody has
// changed it, waits for the person's click: a notebook may come from anyone.
//
// This is the whole extension, as Lab loads it: a module container that Lab
// finds under window._JUPYTERLAB by the name in package.json.  It uses nothing
// but the `app` that Lab hands to it, so there is nothing to compile.  It lies
// outside a folder called "static" on purpose: Lab lets browsers keep those
// for ever, and a newer version would not be seen.
(() => {
  const NAME = 'print-planning-workbench';

  // The server says which notebook is the desk, and which one this page is for.
  // Only where the two agree is anything run: opening any other notebook must
  // never run it.
  function deskOfThisPage() {
    const config = JSON.parse(document.getElementById('jupyter-config-data').textContent);
    return config.workbenchDesk === config.treePath ? config.workbenchDesk : null;
  }

  function deskCell(notebook) {
    const config = JSON.parse(document.getElementById('jupyter-config-data').textContent);
    return notebook.widgets.findIndex(
      cell =>
        cell.model.type === 'code' &&
        cell.model.sharedModel.getSource() === config.workbenchCell
    );
  }

  // After a page is loaded again its kernel still lives, and Lab shows its
  // widgets as they were.  Running again would put every knob back.
  async function hasLiveWidgets(kernel) {
    const reply = await kernel.requestCommInfo({ target_name: 'jupyter.widget' });
    return Object.keys(reply.content.comms ?? {}).length > 0;
  }

  const pause = time => new Promise(resolve => setTimeout(resolve, time));

  // Whether our cell holds the kernel's desk.  Where it is empty, another tab may be about to save
  // it; or the page was loaded again before it was saved, and only running brings a desk.
  async function hasDesk(panel) {
    const empty = () => {
      const index = deskCell(panel.content);
      return index >= 0 && panel.content.widgets[index].outputArea.model.length === 0;
    };
    for (let look = 0; empty() && look < 3; look++) {
      await pause(1000);
      await panel.context.revert();
    }
    return !empty();
  }

  // Lab waits two seconds for a widget's model and then gives up, even when all models came in
  // just then: reading a desk's state may take that long.  Drawn once more, the desk is there.
  const GIVEN_UP = 'Error displaying widget: model not found';
  async function drawOnceMore(panel) {
    for (let second = 0; second < 60 && !panel.node.querySelector('.wb-desk'); second++) {
      await pause(1000);
      for (const cell of panel.content.widgets) {
        if (cell.model.type !== 'code' || !cell.node.textContent.includes(GIVEN_UP)) {
          continue;
        }
        const outputs = cell.outputArea.model;
        outputs.fromJSON(outputs.toJSON());
      }
    }
  }

  // Lab's round sign in the toolbar turns with every move of a slider, and has the whole toolbar
  // measured each time before a plot is shown; what the kernel does is said at the foot as well.
  function quiet(toolbar) {
    for (const item of [...toolbar.children()]) {
      if (item.node.dataset.jpItemName === 'executionProgress') {
        item.dispose();
      }
    }
  }

  async function start(app) {
    const path = deskOfThisPage();
    if (!path) {
      return;
    }
    const panel = await app.commands.execute('docmanager:open', { path });
    await panel.context.ready;
    quiet(panel.toolbar);
    await panel.sessionContext.ready;
    const kernel = panel.sessionContext.session?.kernel;
    if (!kernel) {
      return; // Lab is asking the person for a kernel
    }
    await kernel.info;
    if ((await hasLiveWidgets(kernel)) && (await hasDesk(panel))) {
      await drawOnceMore(panel);
      return;
    }
    const index = deskCell(panel.content);
    if (index < 0) {
      return; // not the notebook that we wrote
    }
    app.shell.collapseLeft(); // room for the desk; the tabs at the edge stay
    app.shell.activateById(panel.id); // the command below acts on the current notebook
    panel.content.deselectAll();
    panel.content.activeCellIndex = index;
    await app.commands.execute('notebook:run-cell');
    await panel.context.save(); // a page loaded again finds its widgets by what is saved
  }

  const plugin = {
    id: `${NAME}:start`,
    description: 'Runs the desk notebook when its page opens.',
    autoStart: true,
    activate: app => {
      app.restored
        .then(() => start(app))
        .catch(error => console.error('The desk could not be started by itself.', error));
    }
  };

  window._JUPYTERLAB = window._JUPYTERLAB ?? {};
  window._JUPYTERLAB[NAME] = {
    init: () => {}, // shares no modules with Lab
    get: async () => () => ({ __esModule: true, default: plugin })
  };
})();
