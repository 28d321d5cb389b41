// The findings beside the schematic: one that is chosen shows its state, its failure, its elements and its path.

let picked = 0;
/** Letters of a detail beside the schematic. */
const MOST_DETAIL = 220;

/** The symbols of an element, or its lines where it has none. */
function drawnOf(name) {
  const element = data.elements.indexOf(name);
  if (element < 0) return [];
  const symbols = data.symbols.filter((f) => f[1] === element && !f[2].startsWith("to-")).map((f) => by(`f${f[0]}`));
  return symbols.length ? symbols : data.runs.flatMap((r, i) => (r[0] === element ? [by(`r${i}`)] : []));
}

/** Marks some elements and a path, and brings the first of them to the middle of the frame. */
function highlight(subjects, path) {
  document.querySelectorAll(".sought, .onpath:not(.key *)").forEach((other) => other.classList.remove("sought", "onpath"));
  const wires = subjects.flatMap((name) => (name in data.bundles ? data.bundles[name].map((e) => data.elements[e]) : [name]));
  const sought = wires.flatMap(drawnOf);
  const along = path.flatMap(drawnOf);
  sought.forEach((one) => one.classList.add("sought"));
  const on = new Set(path.map((name) => data.elements.indexOf(name)));
  along.forEach((one) => one.classList.add("onpath"));
  data.runs.forEach((r, i) => by(`r${i}`).classList.toggle("onpath", on.has(r[0])));
  const first = sought[0] || along[0];
  if (first) centre(first);
}

/** Scrolls the frame, and nothing else, to a drawn element. */
function centre(element) {
  const frame = document.querySelector(".frame");
  const inside = frame.getBoundingClientRect();
  const place = element.getBoundingClientRect();
  frame.scrollBy(place.left + Math.min(place.width, inside.width) / 2 - inside.left - inside.width / 2, place.top + Math.min(place.height, inside.height) / 2 - inside.top - inside.height / 2);
}

/** The number of the failure that a finding names, or -1: of its own element, else of the one named with it. */
function failureNamed(state, group) {
  // of several, each of which does it, the first
  const words = group.failure.split("; ")[0].replace("regulator failed", "failed").replace(/^([^,]+),.* (open|shorted)$/, "$1 $2");
  if (!words) return -1;
  const all = data.states[state].failures;
  const own = all.findIndex(([e, w]) => data.elements[e] === group.subjects[0] && (w === words || w.startsWith(`${words} at `)));
  if (own >= 0) return own;
  return all.findIndex(([e, w]) => [`${data.elements[e]} ${w}`, w === "open" && `loss of ${data.elements[e]}`, w === "open" && `${data.elements[e]} lost`].includes(words));
}

function pick(number, button) {
  const group = data.groups[number - 1];
  const outside = !by("list").contains(button) || matchMedia("(max-width: 59.99rem)").matches; // there the list is above the schematic
  unpick();
  picked = number;
  if (data.states.length) {
    const state = Math.max(0, data.states.findIndex((s) => s.name === group.state));
    by("find").value = "";
    choose(state, failureNamed(state, group));
  }
  by(`pick-${number}`).setAttribute("aria-pressed", "true");
  into(number);
  tellPicked(number, group);
  const failed = data.states.length && view().failure;
  const own = group.subjects.slice(0, group.own); // what the cause is about; what else it explains and the loads lost are marked as its path is
  highlight(failed ? [data.elements[failed[0]], ...own] : own, [...group.path, ...group.subjects.slice(group.own), ...group.lost]);
  if (outside) {
    by("board").scrollIntoView({ block: "start" });
    by("board").focus({ preventScroll: true });
  }
}

/** The first figures of a detail: as many as fit, each of them whole. */
function shortened(detail) {
  let kept = "";
  let left = 0;
  for (const figure of detail.split("; ")) {
    if (left || kept.length + figure.length > MOST_DETAIL) left++;
    else kept += `${figure}; `;
  }
  return `${kept}${left} more under evidence`;
}

/** What is chosen, in words above the schematic, with the way to all of it and the way back. */
function tellPicked(number, group) {
  const panel = by("picked");
  if (!panel) return;
  const article = by(group.article);
  const words = document.createElement("p");
  const sentence = article.querySelector("h4").cloneNode(true);
  sentence.firstChild.textContent = sentence.firstChild.textContent.replace(/^\d+\. /, "");
  words.className = "beside";
  words.append(Object.assign(document.createElement("b"), { textContent: `${number} ` }), ...sentence.childNodes);
  const list = document.createElement("dl");
  const terms = [...article.querySelectorAll("dt")];
  const repair = by(`pick-${number}`).querySelector(".repair");
  if (repair) {
    const said = Object.assign(document.createElement("dd"), { className: "beside" });
    said.append(...repair.cloneNode(true).childNodes);
    list.append(Object.assign(document.createElement("dt"), { className: "beside", textContent: "remedy" }), said);
  }
  for (const wanted of ["failure", "detail"]) {
    const term = terms.find((dt) => dt.textContent === wanted);
    if (!term) continue;
    const said = term.nextElementSibling.cloneNode(true);
    if (said.textContent.length > MOST_DETAIL) said.replaceChildren(...whole(shortened(said.textContent)));
    list.append(term.cloneNode(true), said);
  }
  const ways = document.createElement("p");
  const way = (href, text) => Object.assign(document.createElement("a"), { href, textContent: text });
  const back = Object.assign(document.createElement("button"), { type: "button", textContent: "Back to the list", id: "back" });
  back.addEventListener("click", () => {
    unpick();
    choose(0, -1);
    by(`pick-${number}`).focus();
  });
  ways.className = "ways";
  ways.append(Object.assign(document.createElement("b"), { textContent: `Cause ${number}` }), way(`#${group.article}`, "Evidence and references"), back);
  panel.replaceChildren(words, ways, list);
  panel.hidden = false;
}

function unpick() {
  if (picked) by(`pick-${picked}`).setAttribute("aria-pressed", "false");
  picked = 0;
  document.querySelectorAll(".pick.about").forEach((one) => one.classList.remove("about"));
  if (by("picked")) by("picked").hidden = true;
  highlight([], []);
}

/** Marks the findings about an element in the list, and brings the first of them into its view. */
function about(name) {
  unpick();
  const mine = data.groups.flatMap((g, i) => (g.subjects.includes(name) ? [i + 1] : []));
  const touched = data.groups.flatMap((g, i) => (g.path.includes(name) && !g.subjects.includes(name) ? [i + 1] : []));
  [...mine, ...touched].forEach((number) => by(`pick-${number}`).classList.add("about"));
  const panel = by("picked");
  const words = document.createElement("p");
  const told = (numbers, what) => (numbers.length ? `${what} ${numbers.join(", ")}. ` : "");
  words.append(...whole(`${name}: ${told(mine, "findings:") + told(touched, "on the path of:") || "no finding names it."}`));
  panel.replaceChildren(words);
  panel.hidden = false;
  if (mine.length + touched.length) into(mine[0] || touched[0]);
}

/** Scrolls the list, and nothing else, until a finding can be seen. */
function into(number) {
  const view = by("list").getBoundingClientRect();
  const item = by(`pick-${number}`).getBoundingClientRect();
  if (item.top < view.top || item.bottom > view.bottom) by("list").scrollTop += item.top - view.top - 40;
}
