// The choice of a state and a failure, the tables that filter, jumps from findings to the schematic, light and dark.

const MOST = 4000;

function fill(select, options) {
  select.replaceChildren(...options);
}

function option(value, text) {
  const made = document.createElement("option");
  made.value = String(value);
  made.textContent = text;
  return made;
}

/** Lists the failures of the state whose text holds every word that is typed. */
function failures() {
  const wanted = by("find").value.toLowerCase().split(/\s+/).filter(Boolean);
  const groups = [["Parts", []], ["Wires", []], ["Bundles", []]];
  let left = 0;
  let found = 0;
  data.states[chosen.state].failures.forEach(([element, words], i) => {
    const text = `${data.elements[element]} ${words}`;
    const fits = wanted.every((w) => text.toLowerCase().includes(w));
    if (!fits && i !== chosen.failure) return; // what is shown stays in the list
    if (fits) found++;
    if (found > MOST && i !== chosen.failure) {
      left++;
      return;
    }
    const which = element < data.parts ? 0 : element < data.parts + data.wires ? 1 : 2;
    groups[which][1].push(option(i, text));
  });
  const made = [option(-1, "nothing failed")];
  for (const [label, options] of groups) {
    if (!options.length) continue;
    const group = document.createElement("optgroup");
    group.label = label;
    group.append(...options);
    made.push(group);
  }
  fill(by("failure"), made);
  by("failure").value = String(chosen.failure);
  by("found").textContent = `${found} of ${data.states[chosen.state].failures.length} failures listed` + (left ? `, ${left} more: type to filter` : "");
}

function choose(state, failure) {
  chosen.state = state;
  chosen.failure = failure;
  by("state").value = String(state);
  failures();
  by("failure").value = String(failure);
  refresh();
}

/** The number of the failure of an element that has some words, or of its first, or -1. */
function failureOf(state, name, words) {
  const all = data.states[state].failures;
  const exact = all.findIndex(([e, w]) => data.elements[e] === name && w === words);
  return exact >= 0 ? exact : words ? -1 : all.findIndex(([e]) => data.elements[e] === name);
}

function jump(button) {
  const state = Math.max(0, data.states.findIndex((s) => s.name === button.dataset.state));
  const name = button.dataset.name;
  if (data.states.length) choose(state, button.dataset.failure ? failureOf(state, name, button.dataset.failure.split("; ")[0]) : -1);
  highlight([name], []);
  by("board").scrollIntoView({ block: "start" });
  by("board").focus({ preventScroll: true });
}

/** Rows of a table are hidden unless they hold all words and the chosen kind and class. */
function filtering(form) {
  const rows = [...by(form.dataset.table).tBodies[0].rows].map((row) => [row, row.textContent.toLowerCase()]);
  const apply = () => {
    const words = form.elements.words.value.toLowerCase().split(/\s+/).filter(Boolean);
    const kind = form.elements.kind.value;
    const hazard = form.elements.hazard.value;
    let shown = 0;
    for (const [row, text] of rows) {
      const lost = row.dataset.hazard;
      const fits = words.every((w) => text.includes(w)) && (!kind || row.dataset.kind === kind) && (!hazard || (hazard === "any" ? lost !== "" : lost === hazard));
      row.hidden = !fits;
      if (fits) shown++;
    }
    form.querySelector("output").textContent = `${shown} of ${rows.length} rows shown`;
  };
  form.addEventListener("input", apply);
  form.addEventListener("change", apply);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(apply));
  apply();
}

function theme() {
  const root = document.documentElement;
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const button = by("theme");
  const now = () => root.dataset.theme || (dark.matches ? "dark" : "light");
  const say = () => {
    button.firstElementChild.textContent = now() === "dark" ? "Light" : "Dark";
  };
  button.addEventListener("click", () => {
    root.dataset.theme = now() === "dark" ? "light" : "dark";
    say();
  });
  dark.addEventListener("change", say);
  say();
}

function zoom() {
  const svg = by("svg");
  const wide = Number(svg.dataset.width);
  const tall = Number(svg.dataset.height);
  const apply = () => {
    const scale = by("zoom").value;
    if (scale === "fit") {
      svg.removeAttribute("width");
      svg.removeAttribute("height");
    } else {
      svg.setAttribute("width", String(Math.round(wide * scale)));
      svg.setAttribute("height", String(Math.round(tall * scale)));
    }
  };
  by("zoom").addEventListener("change", apply);
  apply();
}

if (data.states.length) {
  fill(by("state"), data.states.map((state, i) => option(i, `${state.name} (${state.use}${state.engine && `, engine ${state.engine}`})`)));
  by("state").addEventListener("change", (event) => choose(Number(event.target.value), -1));
  by("failure").addEventListener("change", (event) => choose(chosen.state, Number(event.target.value)));
  by("find").addEventListener("input", failures);
  by("healthy").addEventListener("click", () => {
    by("find").value = "";
    unpick();
    choose(chosen.state, -1);
  });
  by("svg").addEventListener("click", (event) => {
    const group = event.target.closest(".f, .r");
    if (!group) return;
    const number = Number(group.id.slice(1));
    const name = data.elements[group.id[0] === "f" ? data.symbols.find((f) => f[0] === number)[1] : data.runs[number][0]];
    by("find").value = name;
    about(name);
    choose(chosen.state, failureOf(chosen.state, name, ""));
  });
  choose(0, -1);
}
document.querySelectorAll("button[data-group]").forEach((button) => button.addEventListener("click", () => pick(Number(button.dataset.group), button)));
document.querySelectorAll("button[data-name]").forEach((button) => button.addEventListener("click", () => jump(button)));
document.querySelectorAll("form[data-table]").forEach(filtering);
theme();
zoom();
/** The first screen ends where the window does. */
const fit = () => document.documentElement.style.setProperty("--above", `${Math.ceil(document.querySelector(".desk").getBoundingClientRect().top + scrollY)}px`);
addEventListener("resize", fit);
fit();
document.documentElement.dataset.ready = "yes";

/** Opens what is folded around the place that an address names, and shows it. */
function unfold() {
  const place = location.hash.length > 1 ? by(decodeURIComponent(location.hash.slice(1))) : null;
  if (!place) return;
  let folded = place.closest("details") || place.querySelector(":scope > details.part");
  for (; folded; folded = folded.parentElement.closest("details")) folded.open = true;
  place.scrollIntoView({ block: "start" });
}
addEventListener("hashchange", unfold);
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href^='#']");
  if (link && link.hash === location.hash) unfold(); // chosen again: no other address
});
unfold();
