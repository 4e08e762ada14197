// A press stays on its button though the page moves below the pointer: a field that is left may bring in words above it.
if (!window.voltwright) {
  let on = null, x = 0, y = 0;
  document.addEventListener("pointerdown", (event) => {
    on = event.button === 0 && event.pointerType !== "touch" ? event.target.closest("button, summary, a[href]") : null;
    [x, y] = [event.clientX, event.clientY];
    if (on) on.setPointerCapture(event.pointerId);
  });
  document.addEventListener("pointermove", (event) => {
    const away = on && Math.hypot(event.clientX - x, event.clientY - y) > 12; // drawn off it, to let it be
    if (away && on.hasPointerCapture(event.pointerId)) on.releasePointerCapture(event.pointerId);
  });
}
// What was typed and not yet saved stays in this tab: after a reload, or when the server was gone, it is handed in again.
window.voltwright = {
  key: (build, path) => `voltwright ${build} ${path}`,
  keep(build) {
    if (this.kept !== build) {
      this.kept = build;
      let before = "";
      document.addEventListener("focusin", (event) => (before = event.target.value));
      document.addEventListener("input", (event) => {
        const path = event.target.dataset && event.target.dataset.path;
        if (!path) return;
        const earlier = this.typed(build, path);
        const now = { typed: event.target.value, over: earlier ? earlier.over : before };
        sessionStorage.setItem(this.key(build, path), JSON.stringify(now));
      });
    }
    this.putBack(build, "change");
  },
  // It stays in its field when the page shows what somebody else saved. `unchanged` happens to a field over which nobody else saved.
  putBack(build, unchanged) {
    const done = new Set();
    for (const field of document.querySelectorAll("[data-path]")) {
      if (done.has(field.dataset.path)) continue;
      done.add(field.dataset.path);
      const kept = this.typed(build, field.dataset.path);
      if (kept === null || kept.typed === field.value) continue;
      const event = kept.over === field.value ? unchanged : "overtaken"; // which nobody who typed has seen
      field.value = kept.typed;
      field.dispatchEvent(new Event(event, { bubbles: true }));
    }
  },
  typed: (build, path) => JSON.parse(sessionStorage.getItem(voltwright.key(build, path))),
  forget(build) {
    for (const key of Object.keys(sessionStorage)) if (key.startsWith(this.key(build, ""))) sessionStorage.removeItem(key);
  },
  // The chosen files go to the interface; what it answers goes to the page.
  async send(most) {
    const chosen = [...document.querySelectorAll("[data-sent]")].flatMap((field) => [...field.files]);
    const whole = chosen.reduce((sum, file) => sum + file.size, 0);
    const value = (id) => document.getElementById(id).value;
    if (whole > most) return { too_large: whole };
    try {
      const files = await Promise.all(chosen.map(this.read));
      const answer = await fetch("/api/folders", {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ files, name: value("q-name"), customer: value("q-customer") }),
      });
      return answer.status === 401 ? { signed_out: true } : await answer.json();
    } catch {
      return { lost: true };
    }
  },
  read: (file) =>
    new Promise((done, failed) => {
      const reader = new FileReader();
      reader.onload = () => done({ path: file.webkitRelativePath || file.name, content: reader.result.split(",")[1] || "" });
      reader.onerror = failed;
      reader.readAsDataURL(file);
    }),
  saved(build, path) {
    sessionStorage.removeItem(this.key(build, path));
  },
  // Plots are coloured by the server, which has to know whether the reader sees dark or light.
  scheme() {
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.onchange = () => emitEvent("scheme", dark.matches);
    if (dark.matches) dark.onchange();
  },
  // A datasheet that is being written stays in the tab as a whole until it is on the shelf.
  hold(name, sheet) {
    sessionStorage.setItem(this.key(name, "sheet"), JSON.stringify(sheet));
  },
  held(name) {
    return JSON.parse(sessionStorage.getItem(this.key(name, "sheet")) || "null");
  },
  // A file that is chosen goes to the server as text of base64; a datasheet is small.
  async file(event, emit) {
    const file = event.target.files[0];
    if (!file) return;
    const content = file.size <= 500000 ? (await this.read(file)).content : "";
    event.target.value = "";
    emit({ name: file.name, size: file.size, content });
  },
};
