// The schematic: a state and a failure are chosen, and every symbol and line is marked accordingly.

const by = (id) => document.getElementById(id);
const chosen = { state: 0, failure: -1 };
/** A text for a page, in which no line ends at a hyphen of a name. */
function whole(text) {
  return text.split(/(?<!\S)([^\s-]+-\S+)/).map((piece, i) => (i % 2 ? Object.assign(document.createElement("span"), { className: "whole", textContent: piece }) : piece));
}
const modes = new Set(["make", "break", "changeover"]);

function view() {
  return new View(chosen.state, chosen.failure);
}

/** Sets one of some classes on an element. */
function mark(element, name, group) {
  for (const other of group) element.classList.toggle(other, other === name);
}
const CONDITION = ["live", "dead", "half", "back"];

function source(sources) {
  if (sources.length === 0) return "";
  return sources.length === 1 ? `from-${sources[0] % 6}` : "from-many";
}
const FROM = ["from-0", "from-1", "from-2", "from-3", "from-4", "from-5", "from-many"];

/** Colours an element by the sources that feed it: in stripes where there are several. */
function colour(element, sources) {
  mark(element, source(sources), FROM);
  if (sources.length > 1) element.style.setProperty("--now", `url(#${stripes(sources)})`);
  else element.style.removeProperty("--now");
}

/** The name of the pattern with a stripe for each of some sources; it is made when it is first wanted. */
function stripes(sources) {
  const name = `stripes-${sources.join("-")}`;
  if (by(name)) return name;
  const make = (tag, values) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [key, value] of Object.entries(values)) made.setAttribute(key, value);
    return made;
  };
  const wide = 9;
  const pattern = make("pattern", { id: name, patternUnits: "userSpaceOnUse", width: wide * sources.length, height: wide * sources.length, patternTransform: "rotate(45)" });
  sources.forEach((s, i) => pattern.append(make("rect", { class: `stripe-${s % 6}`, x: i * wide, y: 0, width: wide, height: wide * sources.length })));
  by("stripes").append(pattern);
  return name;
}

const magnetos = new Set(data.magnetos);
/** Loads and instruments; a magneto takes nothing from the system. */
const consumers = data.powered.filter((e) => !magnetos.has(e));

function letters(sources) {
  return sources.map((s) => data.sources[s][1]).join("·");
}

function draw() {
  const now = view();
  const failed = now.failure ? now.failure[0] : -1;
  const cut = failed >= data.parts + data.wires ? new Set(bundle(now.failure[0])) : new Set();
  const works = new Set(now.of("powered", data.powered));
  const pulls = new Set(now.of("coils", data.coils));
  const opened = now.opened;
  const lives = new Set(now.of("alive", data.sources).map((s) => s[0]));
  data.runs.forEach(([element, one, other, line], i) => {
    const drawn = by(`r${i}`);
    const sources = now.feeding(other).filter((s) => now.feeding(one).includes(s));
    const live = sources.length > 0 && element !== failed && !cut.has(element);
    mark(drawn, live ? (now.backfed(line) ? "back" : "live") : "dead", CONDITION);
    colour(drawn, live && !now.backfed(line) ? sources : []);
    drawn.classList.toggle("failed", element === failed || cut.has(element));
    drawn.firstElementChild.textContent = `${data.elements[element]}: ${live ? `fed by ${sources.map((s) => data.sources[s][1]).join(", ")}` : "dead"}`;
  });
  for (const [number, element, kind, gate, nodes, positions] of data.symbols) {
    const group = by(`f${number}`);
    const fed = nodes.map((n) => now.fed(n));
    const load = data.powered.includes(element) && !modes.has(gate) && kind !== "signals" && !kind.startsWith("to-");
    const living = data.sources.some((s) => s[0] === element) && !kind.startsWith("to-");
    let condition = fed.every(Boolean) && nodes.length ? "live" : fed.some(Boolean) ? "half" : "dead";
    if (load) condition = works.has(element) ? "live" : "dead";
    if (living) condition = lives.has(element) ? "live" : "dead";
    if (kind === "coil") condition = pulls.has(element) ? "live" : "dead";
    const sources = [...new Set(nodes.flatMap((n) => now.feeding(n)))].sort((a, b) => a - b);
    mark(group, condition, CONDITION);
    const own = data.sources.findIndex((s) => s[0] === element);
    colour(group, living ? (lives.has(element) ? [own] : []) : condition === "dead" ? [] : sources);
    group.classList.toggle("failed", element === failed);
    group.classList.toggle("opened", opened.has(element));
    if (gate) throws(group, now, element, gate, positions, pulls, opened);
    words(group, now, { element, kind, load, living, condition, sources, failed, opened });
  }
  by("svg").setAttribute("aria-label", `Power distribution schematic. ${summary(now)}`);
}

/** The letters beside a symbol: the sources that feed it, or its condition. */
function words(group, now, { element, kind, load, living, condition, sources, failed, opened }) {
  const text = group.querySelector(".src");
  if (!text) return;
  let said = "";
  if (element === failed) said = "✕";
  else if (opened.has(element)) said = "open";
  else if (magnetos.has(element)) said = condition === "live" ? "fires" : "off";
  else if (living) said = data.sources.find((s) => s[0] === element)[1] + (condition === "live" ? "" : " off");
  else if (load) said = condition === "live" ? letters(sources) : "off";
  else if (kind === "bus" || kind === "stud" || kind === "splice") said = letters(sources) || (group.classList.contains("quiet") ? "" : "–");
  else if (kind === "coil") said = condition === "live" ? "on" : "";
  text.textContent = said;
}

/** Shows each lever of a contact in its position. */
function throws(group, now, element, gate, positions, pulls, opened) {
  const levers = group.querySelectorAll(".lever:not(.open)");
  const name = data.elements[element];
  const failure = now.failure && now.failure[0] === element ? now.failure : null;
  let energised = pulls.has(element);
  const stuck = failure ? failure[3] : undefined; // the position of a switch, or whether the contacts of a relay are closed
  if (typeof stuck === "boolean") energised = stuck;
  const position = typeof stuck === "string" ? stuck : now.state.switches[name];
  let any = false;
  levers.forEach((lever, i) => {
    let closed = false;
    if (gate === "switch") closed = (positions[i] || []).includes(position) && !now.state.pulled.includes(name) && !opened.has(element);
    else if (gate === "make") closed = energised;
    else if (gate === "break") closed = !energised;
    else closed = i === 0 ? !energised : energised;
    lever.classList.toggle("shown", closed);
    any = any || closed;
  });
  const open = group.querySelector(".lever.open");
  if (open) open.classList.toggle("shown", !any);
}

/** The wires of a bundle. */
function bundle(element) {
  return data.bundles[data.elements[element]] || [];
}

function named(elements) {
  return elements.map((e) => data.elements[e]).join(", ");
}

/** One sentence for the live region. */
function summary(now) {
  const what = now.failure ? `${data.elements[now.failure[0]]} ${now.failure[1]}` : "nothing failed";
  const healthy = new View(chosen.state, -1);
  const works = new Set(now.of("powered", data.powered));
  const dark = consumers.filter((e) => !works.has(e) && healthy.of("powered", data.powered).includes(e));
  const lost = now.lost.filter((name) => !healthy.lost.includes(name));
  const said = now.failure
    ? ` ${dark.length} ${dark.length === 1 ? "load loses" : "loads lose"} power. Functions lost: ${lost.join(", ") || "none"}.`
    : ` ${consumers.filter((e) => works.has(e)).length} of ${consumers.length} loads have power.`;
  return `State ${now.state.name}, ${what}.${said}`;
}

/** What the chosen case does, as a list under the choice. */
function tell() {
  const now = view();
  const healthy = new View(chosen.state, -1);
  const list = by("told");
  list.replaceChildren();
  const say = (term, text, hazard) => {
    const dt = document.createElement("dt");
    const dd = document.createElement("dd");
    dt.textContent = term;
    dd.append(...whole(text));
    if (hazard) dd.className = hazard;
    list.append(dt, dd);
  };
  const works = now.of("powered", data.powered).filter((e) => !magnetos.has(e));
  const before = healthy.of("powered", data.powered).filter((e) => !magnetos.has(e));
  const alive = now.of("alive", data.sources).map((s) => s[0]);
  say("Live sources", named(alive) || "none");
  if (now.failure) {
    say("Loads that lose power", named(before.filter((e) => !works.includes(e))) || "none");
    const woken = works.filter((e) => !before.includes(e));
    if (woken.length) say("Loads that gain power", named(woken));
    if (now.opened.size) say("Circuit protection that opens", named([...now.opened]));
    const lost = now.lost.filter((name) => !healthy.lost.includes(name));
    say("Functions lost", lost.map((name) => `${name} (${data.functions[name][2]})`).join(", ") || "none", lost.length ? "bad" : "");
  } else {
    say("Loads without power", named(consumers.filter((e) => !works.includes(e))) || "none");
    if (now.lost.length) say("Functions not working", now.lost.join(", "));
  }
  if (magnetos.size) say("Magnetos that fire", named(now.of("powered", data.powered).filter((e) => magnetos.has(e))) || "none");
  const dark = data.buses.filter(([, node]) => !now.fed(node)).map(([e]) => e);
  say("Dead buses", named(dark) || "none");
  const back = [...new Set(data.runs.filter(([e, , , line]) => now.backfed(line) && e !== -1).map(([e]) => e))];
  if (back.length) say("Backfed", named(back));
  by("said").replaceChildren(...whole(summary(now)));
}

function refresh() {
  draw();
  tell();
}
