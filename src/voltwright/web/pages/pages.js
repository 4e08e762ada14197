// What was typed and not yet saved stays in this tab: after a reload, or when the server was gone, it is handed in again.
window.voltwright = {
  key: (build, path) => `voltwright ${build} ${path}`,
  keep(build) {
    if (this.kept !== build) {
      this.kept = build;
      document.addEventListener("input", (event) => {
        const path = event.target.dataset && event.target.dataset.path;
        if (path) sessionStorage.setItem(this.key(build, path), event.target.value);
      });
    }
    for (const field of document.querySelectorAll("[data-path]")) {
      const typed = sessionStorage.getItem(this.key(build, field.dataset.path));
      if (typed !== null && typed !== field.value) {
        field.value = typed;
        field.dispatchEvent(new Event("change", { bubbles: true }));
      }
    }
  },
  saved(build, path) {
    sessionStorage.removeItem(this.key(build, path));
  },
  // Plots are coloured by the server, which has to know whether the reader sees dark or light.
  scheme() {
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.onchange = () => emitEvent("scheme", dark.matches);
    if (dark.matches) dark.onchange();
  },
};
