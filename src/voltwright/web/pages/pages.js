// A press stays on its button though the page moves below the pointer: a field that is left may bring in words above it.
{
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
// What was typed and not yet saved stays in this tab. After a reload, or when the server was gone, a field that is saved as it is
// left is handed in again; one that waits for a button (`data-waits`) stands as it was typed, and its page says so.
window.voltwright = {
  key: (build, path) => `voltwright ${build} ${path}`,
  early: `early ${location.pathname}${location.search}`, // the name until the page has said under which it is kept
  keep(build) {
    this.kept = build;
    const head = this.key(this.early, "");
    for (const key of Object.keys(sessionStorage).filter((each) => each.startsWith(head))) {
      const { typed, over } = JSON.parse(sessionStorage.getItem(key));
      sessionStorage.removeItem(key);
      this.store(key.slice(head.length), typed, over);
    }
    this.putBack("change");
  },
  // `over`: what it was typed over, which stays that of the first letter.
  store(path, typed, over) {
    const name = this.kept ?? this.early;
    const now = { typed, over: (this.typed(name, path) || { over }).over };
    sessionStorage.setItem(this.key(name, path), JSON.stringify(now));
  },
  // It stays in its field when the page shows what somebody else saved. `unchanged` happens to a field over which nobody else saved;
  // `data-over` says what is typed over where that is not the text of the field.
  putBack(unchanged, which = "[data-path]") {
    const done = new Set();
    for (const field of document.querySelectorAll(which)) {
      const { path, waits, over } = field.dataset;
      if (done.has(path)) continue;
      done.add(path);
      const kept = this.typed(this.kept, path);
      if (kept === null || kept.typed === field.value) continue;
      const told = waits === undefined ? unchanged : "kept";
      const event = kept.over === (over ?? field.value) ? told : "overtaken"; // which nobody who typed has seen
      field.value = kept.typed;
      if (told === "kept") for (let at = field; at; at = at.parentElement.closest("details")) at.open = true;
      field.dispatchEvent(new CustomEvent(event, { bubbles: true, detail: kept.over }));
    }
  },
  // A part of the page was drawn anew: what waits there is put back.
  drawn() {
    if (this.kept !== undefined) this.putBack("kept", "[data-waits]");
  },
  // It went in, or was thrown away: the fields stand like this now, but for one in which something else is typed already.
  drop(texts) {
    for (const [path, [went, stands]] of Object.entries(texts)) {
      const kept = this.typed(this.kept ?? this.early, path);
      if (went !== null && kept !== null && kept.typed !== went) continue;
      this.saved(this.kept, path);
      for (const field of document.querySelectorAll("[data-waits]"))
        if (field.dataset.path === path && stands !== null) field.value = stands;
    }
  },
  typed: (build, path) => JSON.parse(sessionStorage.getItem(voltwright.key(build, path))),
  forget(build) {
    for (const key of Object.keys(sessionStorage)) if (key.startsWith(this.key(build, ""))) sessionStorage.removeItem(key);
  },
  // To a line of the whole text: it is marked, and in view.
  toLine(number) {
    const field = document.querySelector("textarea.whole");
    const lines = field.value.split("\n");
    const start = lines.slice(0, number - 1).join("\n").length + (number > 1 ? 1 : 0);
    field.blur();
    field.setSelectionRange(start, start);
    field.focus();
    field.setSelectionRange(start, start + (lines[number - 1] || "").length);
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
  // A file of the car goes to the interface as it is; what it answers goes to the page.
  async keepFile(car, event, emit) {
    const field = event.target;
    const file = field.files[0];
    if (!file) return;
    try {
      const answer = await fetch(`/api/cars/${car}/files?name=${encodeURIComponent(file.name)}`, {
        method: "POST",
        headers: { "Content-Type": "application/octet-stream", "X-Voltwright": "page" },
        body: file,
      });
      emit(answer.status === 401 ? { signed_out: true } : await answer.json());
    } catch {
      emit({ lost: true });
    }
    field.value = "";
  },
  saved(build, path) {
    for (const name of [build, this.early]) sessionStorage.removeItem(this.key(name, path));
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
{
  let before = "";
  document.addEventListener("focusin", (event) => (before = event.target.value));
  document.addEventListener("input", (event) => {
    const { path, over } = event.target.dataset || {};
    if (path) voltwright.store(path, event.target.value, over ?? before);
  });
}
