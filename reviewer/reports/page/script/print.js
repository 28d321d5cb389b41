// What is done for paper: folded sections are opened, each sheet gets its piece of the drawing, cards are printed alone.

/** Each drawn thing of the schematic with the heights that it spans; none is on a sheet that it does not reach. */
const spans = () =>
  [...by("sheet").children].map((one) => {
    const box = one.getBBox();
    const low = one.transform.baseVal.consolidate()?.matrix || by("svg").createSVGMatrix();
    const ends = [[box.x, box.y], [box.x + box.width, box.y], [box.x, box.y + box.height], [box.x + box.width, box.y + box.height]];
    const heights = ends.map(([x, y]) => low.b * x + low.d * y + low.f);
    return [one, Math.min(...heights) - 4, Math.max(...heights) + 4];
  });

/** Length of a stripe on paper, px. */
const STRIPE = 9;

/** A drawn thing with dashes of each colour in place of stripes, which a browser prints as thousands of pictures. */
function dashed(drawn) {
  const stripes = /stripes-([\d-]+)/.exec(drawn.style.getPropertyValue("--now"));
  if (!stripes || drawn.classList.contains("failed") || drawn.classList.contains("opened")) return [drawn];
  const sources = stripes[1].split("-");
  const copies = (line) =>
    sources.map((source, i) => {
      const copy = line.cloneNode(true);
      copy.style.stroke = `var(--s${source % 6})`;
      copy.style.strokeDasharray = `${STRIPE} ${STRIPE * (sources.length - 1)}`;
      copy.style.strokeDashoffset = String(-STRIPE * i);
      return copy;
    });
  if (drawn.localName === "path") return copies(drawn);
  drawn.style.setProperty("--now", "var(--many)");
  drawn.querySelectorAll(".w, .bar").forEach((line) => line.replaceWith(...copies(line)));
  return [drawn];
}

function fillSheets() {
  // without a script they stand as they are, with it they are made when they are wanted
  document.querySelectorAll(".sheets > noscript").forEach((sheets) => (sheets.parentElement.innerHTML = sheets.textContent));
  const drawn = spans();
  document.querySelectorAll(".sheets .piece").forEach((piece) => {
    const { y, height } = piece.viewBox.baseVal;
    const mine = drawn.filter(([, top, bottom]) => top < y + height && bottom > y);
    piece.replaceChildren(...mine.flatMap(([one]) => dashed(one.cloneNode(true))));
    for (const one of piece.children) one.removeAttribute("id");
  });
  const shown = data.states.length ? `${summary(view())} ` : "";
  const fed = data.sources.map(([element, letter]) => `${letter} ${data.elements[element]}`).join(", ");
  document.querySelectorAll(".sheets .shown-state").forEach((line) => (line.textContent = `${shown}Sources: ${fed}.`));
}

const unfolded = new Set();
addEventListener("beforeprint", () => {
  document.querySelectorAll("details:not([open])").forEach((folded) => {
    folded.open = true;
    unfolded.add(folded);
  });
  if (!document.documentElement.dataset.print) fillSheets();
});
addEventListener("afterprint", () => {
  delete document.documentElement.dataset.print;
  document.querySelectorAll(".sheets .piece").forEach((piece) => piece.replaceChildren());
  unfolded.forEach((folded) => (folded.open = false));
  unfolded.clear();
});

// cards are printed alone, for those who fill them in
document.querySelectorAll("button.print-cards").forEach((button) =>
  button.addEventListener("click", () => {
    document.documentElement.dataset.print = button.dataset.print;
    print();
  }),
);
