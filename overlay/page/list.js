// The class to proof-read: a row a segment, with what is said in it and what check found there.

import { lastNotAfter, lengthLabel, minutesLabel } from "./clock.js";

const ROW_PX_A_SECOND = 1.6;

export class List {
  constructor(root, data, clock, { goTo, words }) {
    Object.assign(this, { root, data, clock, goTo, words });
    this.list = root.querySelector("#list");
    this.lineStarts = data.lines.map(([start]) => start);
    this.rows = [];
  }

  // Thousands of rows take a moment to make: only who wants to see them waits for them.
  build() {
    if (this.rows.length) return;
    const general = this.data.findings.filter(({ segments }) => !segments.length);
    this.root.querySelector("#general").replaceChildren(...general.map((finding) => this.#finding(finding)));
    this.lineRows = new Map();
    let line = 0;
    this.rows = this.data.segments.map((segment, number) => {
      const first = line;
      while (line < this.data.lines.length && this.data.lines[line][0] < segment.frames[1]) line += 1;
      return this.#row(segment, number, first, line);
    });
    this.list.replaceChildren(...this.rows);
  }

  show(seconds, number) {
    if (!this.rows.length) return;
    const segment = this.data.segments[number];
    if (number !== this.number) {
      this.rows[this.number]?.removeAttribute("aria-current");
      this.rows[number].setAttribute("aria-current", "true");
      this.number = number;
      this.follow();
    }
    const passed = Math.floor(Math.max(0, seconds - segment.end_s + segment.length_s));
    if (passed !== this.passed) {
      this.rows[number].style.setProperty("--passed", Math.min(1, passed / segment.length_s));
      this.passed = passed;
    }
    const frame = this.clock.frameAt(seconds);
    const line = this.lineStarts.length ? lastNotAfter(this.lineStarts, frame) : -1;
    const [start, end] = this.data.lines[line] ?? [0, 0];
    const said = start <= frame && frame < end ? this.lineRows.get(line) : undefined;
    if (said !== this.said) {
      this.said?.classList.remove("said");
      said?.classList.add("said");
      this.said = said;
    }
  }

  // Brings the present row into view, without moving what can be seen already.
  follow() {
    this.rows[this.number]?.scrollIntoView({ block: "nearest" });
  }

  #row(segment, number, first, last) {
    const row = element("li", "row");
    row.dataset.kind = segment.kind;
    row.style.minHeight = `${Math.max(2, segment.length_s * ROW_PX_A_SECOND)}px`;
    const go = element("button", "go");
    go.type = "button";
    const start = this.clock.secondsOf(segment.frames[0]);
    go.append(element("span", "time", minutesLabel(segment.end_s - segment.length_s)), " ", element("b", "", this.words(number)));
    go.append(" ", element("span", "length", lengthLabel(segment.length_s, this.data.words, 1)));
    go.addEventListener("click", () => this.goTo(start));
    row.append(element("span", "mark"), go);
    if (last > first) {
      const lines = element("ul", "lines");
      for (let at = first; at < last; at += 1) lines.append(this.#line(at, segment));
      row.append(lines);
    }
    const here = this.data.findings.filter(({ segments }) => segments.includes(number));
    row.append(...here.map((finding) => this.#finding(finding)));
    return row;
  }

  #line(at, segment) {
    const [start, , length, kind, text] = this.data.lines[at];
    const line = element("li", kind);
    const words = element("bdi", "", text);
    const since = this.clock.secondsOf(start - segment.frames[0]);
    line.append(element("span", "time", `+${minutesLabel(since)}`), " ", words, " ");
    line.append(element("span", "length", lengthLabel(length, this.data.words, 1)));
    this.lineRows.set(at, line);
    return line;
  }

  #finding({ weight, place, text, line, segments }) {
    const box = element(segments.length ? "p" : "li", `finding ${weight}`);
    box.dir = "auto";
    const { words } = this.data;
    const where = line === null ? "" : ` (${words.plan_line.replace("{line}", line)})`;
    const label = weight === "finding" ? words.to_mend : words.remark;
    box.append(element("b", "", label), " ", element("bdi", "", segments.length ? text : `${place}: ${text}`), where);
    return box;
  }
}

function element(name, kind, text) {
  const made = document.createElement(name);
  if (kind) made.className = kind;
  if (text !== undefined) made.textContent = text;
  return made;
}
