// The page in its frame is renewed at each save; what was chosen, filtered, folded and scrolled stays.

const by = (id) => document.getElementById(id);
let shown = null; // the frame in sight
let wanted = 0; // the number of the page that is to be shown
let since = ""; // when the page in sight was made

/** What a reader has made of a page, by names that the next one may have too. */
function kept(frame) {
  const page = frame.contentDocument;
  const value = (id) => (page.getElementById(id) ? page.getElementById(id).value : "");
  const choice = (id) => {
    const select = page.getElementById(id);
    return select && select.selectedIndex > 0 ? select.selectedOptions[0].textContent : "";
  };
  const chosen = page.querySelector("#picked:not([hidden]) a");
  return {
    theme: page.documentElement.dataset.theme,
    state: choice("state"),
    failure: choice("failure"),
    find: value("find"),
    zoom: value("zoom"),
    cause: chosen ? chosen.hash.slice(1) : "",
    filters: [...page.querySelectorAll("form[data-table] [name]")].map((field) => field.value),
    open: [...page.querySelectorAll("details[open]")].map(titled),
    places: [...page.querySelectorAll(".frame, .list, .scroll")].map((box) => [box.getAttribute("aria-label"), box.scrollLeft, box.scrollTop]),
    scroll: [frame.contentWindow.scrollX, frame.contentWindow.scrollY],
  };
}

/** What tells one folded part of a page from another. */
function titled(details) {
  const section = details.closest("section");
  return `${section ? section.id : ""} ${details.id} ${details.querySelector("summary > :first-child, summary").textContent}`;
}

function restore(frame, was) {
  const page = frame.contentDocument;
  const set = (field, value, event) => {
    if (!field || field.value === value) return;
    field.value = value;
    field.dispatchEvent(new Event(event, { bubbles: true }));
  };
  const choose = (id, text) => {
    const select = page.getElementById(id);
    const option = select && [...select.options].find((one) => one.textContent === text);
    if (option) set(select, option.value, "change");
  };
  if (was.theme && page.documentElement.dataset.theme !== was.theme) {
    page.documentElement.dataset.theme = was.theme;
    page.getElementById("theme").firstElementChild.textContent = was.theme === "dark" ? "Light" : "Dark";
  }
  const open = new Set(was.open);
  page.querySelectorAll("details").forEach((details) => (details.open = open.has(titled(details))));
  set(page.getElementById("zoom"), was.zoom, "change");
  page.querySelectorAll("form[data-table] [name]").forEach((field, i) => set(field, was.filters[i] || "", "input"));
  const article = was.cause && page.getElementById(was.cause);
  const button = article && article.querySelector("[data-group]");
  if (button) page.getElementById(`pick-${button.dataset.group}`).click();
  choose("state", was.state);
  set(page.getElementById("find"), was.find, "input");
  choose("failure", was.failure);
  const scroll = () => {
    const boxes = new Map(was.places.map(([label, left, top]) => [label, [left, top]]));
    page.querySelectorAll(".frame, .list, .scroll").forEach((box) => {
      const place = boxes.get(box.getAttribute("aria-label"));
      if (place) box.scrollTo(...place);
    });
    frame.contentWindow.scrollTo(...was.scroll);
  };
  scroll();
  requestAnimationFrame(() => requestAnimationFrame(scroll)); // when all is laid out
}

/** Loads a page out of sight, and puts it in the place of the one that is shown. */
function load(number) {
  const next = Object.assign(document.createElement("iframe"), { title: "Review", className: "coming" });
  next.addEventListener("load", () => {
    if (number !== wanted) {
      next.remove();
      return;
    }
    const was = shown ? kept(shown) : null;
    const focused = document.activeElement === shown;
    if (was) restore(next, was);
    next.className = "";
    if (shown) shown.remove();
    shown = next;
    if (focused) next.focus();
    document.documentElement.dataset.page = String(number);
  });
  next.src = `page?${number}`;
  by("pages").append(next);
}

function say(words, { failed = false, old = false } = {}) {
  by("what").textContent = words;
  document.body.classList.toggle("failed", failed);
  document.body.classList.toggle("old", old);
}

const changes = new EventSource("changes");
changes.addEventListener("message", (event) => {
  const now = JSON.parse(event.data);
  by("text").textContent = now.mistakes;
  by("mistakes").hidden = !now.mistakes;
  if (now.number !== wanted) {
    wanted = now.number;
    since = new Date().toLocaleTimeString();
    load(wanted);
  }
  const last = wanted ? `The page below is old: that of ${since}.` : "There is no page yet.";
  if (now.busy) say(`Reviewing the file as it was saved last. ${wanted ? last : ""}`, { failed: !!now.mistakes, old: wanted > 0 });
  else if (now.mistakes) say(`The file as it is now was not reviewed. ${last}`, { failed: true, old: wanted > 0 });
  else say(`Reviewed at ${since}.`);
});
changes.addEventListener("error", () => say("The reviewer does not answer; it was ended, or will be back in a moment. What is shown may be old.", { failed: true, old: wanted > 0 }));
