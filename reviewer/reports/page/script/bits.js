"use strict";
// Rows of bits as the page carries them: runs of skipped and set bits, see reviewer/reports/page/pack.py.

const data = JSON.parse(document.getElementById("data").textContent);
for (const state of data.states) for (const failure of state.failures) failure[1] = data.words[failure[1]];

/** Changes the bits of a row (one octet each) that a packed text names. */
function flip(row, text) {
  const octets = atob(text);
  let at = 0;
  let place = 0;
  const number = () => {
    let value = 0;
    let shift = 0;
    let octet;
    do {
      octet = octets.charCodeAt(place++);
      value += (octet & 127) * 2 ** shift;
      shift += 7;
    } while (octet & 128);
    return value;
  };
  while (place < octets.length) {
    at += number();
    for (let left = number(); left > 0; left--) row[at++] ^= 1;
  }
  return row;
}

/** Where each kind of thing begins in a row. */
const begin = (() => {
  const sources = data.sources.length;
  const powered = sources * data.nodes;
  const channels = powered + data.powered.length;
  const coils = channels + data.channels.length;
  const alive = coils + data.coils.length;
  const zone = alive + sources;
  const directed = zone + data.nodes;
  const opened = directed + data.directed;
  return { powered, channels, coils, alive, zone, directed, opened, width: opened + data.protectors.length };
})();

/** What holds in a state, with nothing failed (-1) or after the failure of a number. */
class View {
  constructor(state, failure) {
    this.state = data.states[state];
    this.failure = failure < 0 ? null : this.state.failures[failure];
    this.row = flip(new Uint8Array(begin.width), data.rows[this.state.healthy]);
    if (this.failure) flip(this.row, data.rows[this.failure[2]]);
  }
  /** The numbers of the sources that feed a node. */
  feeding(node) {
    return data.sources.map((_, s) => s).filter((s) => this.row[s * data.nodes + node]);
  }
  fed(node) {
    for (let s = 0; s < data.sources.length; s++) if (this.row[s * data.nodes + node]) return true;
    return false;
  }
  cleared(node) {
    return this.row[begin.zone + node] === 1;
  }
  /** Whether a line is fed only from the end that it feeds in the normal state. */
  backfed(line) {
    return line >= 0 && this.row[begin.directed + line] === 1;
  }
  /** The elements of a kind ("powered", "coils") whose bit is set; those of "alive" are numbers of sources. */
  of(kind, elements) {
    return elements.filter((_, i) => this.row[begin[kind] + i]);
  }
  get opened() {
    return new Set(this.of("opened", data.protectors));
  }
  /** Whether a function works: at least so many of its channels do. */
  working(name, works, known) {
    if (!known.has(name)) {
      const [any, of] = data.functions[name];
      const on = (c) => works.has(c) || (data.takers[c] || []).some((taker) => works.has(taker));
      const counts = (c) => (c in data.functions ? this.working(c, works, known) : on(c));
      known.set(name, of.filter(counts).length >= any);
    }
    return known.get(name);
  }
  get lost() {
    const on = [...this.of("powered", data.powered), ...this.of("channels", data.channels)];
    const works = new Set(on.map((e) => data.elements[e]));
    const known = new Map(); // many functions may rest on one
    return Object.keys(data.functions).filter((name) => !this.working(name, works, known));
  }
}
