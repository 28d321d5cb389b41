// The diagram: a state and a failure are chosen, and every figure and line is marked with what holds in it.

const by = (id) => document.getElementById(id);
const chosen = { state: 0, failure: -1 };
const modes = new Set(["make", "break", "changeover"]);

function scene() {
  return new Scene(chosen.state, chosen.failure);
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

function letters(sources) {
  return sources.map((s) => data.sources[s][1]).join("");
}

function draw() {
  const now = scene();
  const failed = now.failure ? now.failure[0] : -1;
  const cut = failed >= data.parts + data.wires ? new Set(bundle(now.failure[0])) : new Set();
  const works = new Set(now.of("powered", data.powered));
  const pulls = new Set(now.of("coils", data.coils));
  const opened = now.opened;
  const lives = new Set(now.of("alive", data.sources).map((s) => s[0]));
  data.runs.forEach(([element, one, other, way], i) => {
    const line = by(`r${i}`);
    const sources = now.feeding(other).filter((s) => now.feeding(one).includes(s));
    const live = sources.length > 0 && element !== failed && !cut.has(element);
    mark(line, live ? (now.backwards(way) ? "back" : "live") : "dead", CONDITION);
    mark(line, live ? source(sources) : "", FROM);
    line.classList.toggle("failed", element === failed || cut.has(element));
  });
  for (const [number, element, kind, gate, nodes, positions] of data.figures) {
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
    mark(group, living ? source(lives.has(element) ? [data.sources.findIndex((s) => s[0] === element)] : []) : condition === "dead" ? "" : source(sources), FROM);
    group.classList.toggle("failed", element === failed);
    group.classList.toggle("opened", opened.has(element));
    if (gate) throws(group, now, element, gate, positions, pulls, opened);
    words(group, now, { element, kind, load, living, condition, sources, failed, opened });
  }
  by("svg").setAttribute("aria-label", `One-line diagram. ${summary(now)}`);
}

/** The short letters beside a figure: by what it is fed, or what is the matter with it. */
function words(group, now, { element, kind, load, living, condition, sources, failed, opened }) {
  const text = group.querySelector(".src");
  if (!text) return;
  let said = "";
  if (element === failed) said = "✕";
  else if (opened.has(element)) said = "open";
  else if (living) said = data.sources.find((s) => s[0] === element)[1] + (condition === "live" ? "" : " off");
  else if (load) said = condition === "live" ? letters(sources) : "off";
  else if (kind === "bus" || kind === "stud" || kind === "splice") said = letters(sources) || "–";
  else if (kind === "coil") said = condition === "live" ? "in" : "";
  text.textContent = said;
}

/** Shows each lever of a contact as it stands. */
function throws(group, now, element, gate, positions, pulls, opened) {
  const levers = group.querySelectorAll(".lever:not(.open)");
  const name = data.elements[element];
  const failure = now.failure && now.failure[0] === element ? now.failure : null;
  let energised = pulls.has(element);
  if (failure && failure[1] === "contacts welded closed") energised = true;
  if (failure && failure[1] === "contacts failed open") energised = false;
  const position = failure && failure.length > 3 ? failure[3] : now.state.switches[name];
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

/** The wires of a bundle, by the lines that its loss marks: the page knows them by name only. */
function bundle(element) {
  return data.bundles[data.elements[element]] || [];
}

function named(elements) {
  return elements.map((e) => data.elements[e]).join(", ");
}

/** One sentence for the live region. */
function summary(now) {
  const what = now.failure ? `${data.elements[now.failure[0]]} ${now.failure[1]}` : "nothing failed";
  const healthy = new Scene(chosen.state, -1);
  const dark = healthy.of("powered", data.powered).filter((e) => !now.of("powered", data.powered).includes(e));
  const lost = now.lost.filter((name) => !healthy.lost.includes(name));
  const said = now.failure
    ? ` ${dark.length} ${dark.length === 1 ? "load loses" : "loads lose"} power. Functions lost: ${lost.join(", ") || "none"}.`
    : ` ${now.of("powered", data.powered).length} of ${data.powered.length} loads have power.`;
  return `State ${now.state.name}, ${what}.${said}`;
}

/** What the chosen case does, as a list under the choice. */
function tell() {
  const now = scene();
  const healthy = new Scene(chosen.state, -1);
  const list = by("told");
  list.replaceChildren();
  const say = (term, text, hazard) => {
    const dt = document.createElement("dt");
    const dd = document.createElement("dd");
    dt.textContent = term;
    dd.textContent = text;
    if (hazard) dd.className = hazard;
    list.append(dt, dd);
  };
  const works = now.of("powered", data.powered);
  const before = healthy.of("powered", data.powered);
  const alive = now.of("alive", data.sources).map((s) => s[0]);
  say("Sources that live", named(alive) || "none");
  if (now.failure) {
    say("Loads that lose power", named(before.filter((e) => !works.includes(e))) || "none");
    const woken = works.filter((e) => !before.includes(e));
    if (woken.length) say("Loads that come alive", named(woken));
    if (now.opened.size) say("Protectors that open", named([...now.opened]));
    const lost = now.lost.filter((name) => !healthy.lost.includes(name));
    say("Functions lost", lost.map((name) => `${name} (${data.functions[name][2]})`).join(", ") || "none", lost.length ? "bad" : "");
  } else {
    say("Loads without power", named(data.powered.filter((e) => !works.includes(e))) || "none");
    if (now.lost.length) say("Functions that are off", now.lost.join(", "));
  }
  const dark = data.buses.filter(([, node]) => !now.fed(node)).map(([e]) => e);
  say("Buses that are dead", named(dark) || "none");
  const back = [...new Set(data.runs.filter(([e, , , way]) => now.backwards(way) && e !== -1).map(([e]) => e))];
  if (back.length) say("Fed from the far end", named(back));
  by("said").textContent = summary(now);
}

function refresh() {
  draw();
  tell();
}
