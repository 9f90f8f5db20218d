// What is shown of one moment: the countdown, what is done, what comes, what is said.

import { countdownLabel, lastNotAfter, lengthLabel } from "./clock.js";

const THEN_SHOWN = 3;

export class Now {
  constructor(root, data, clock) {
    this.data = data;
    this.clock = clock;
    this.lineStarts = data.lines.map(([start]) => start);
    this.part = (name) => root.querySelector(`#${name}`);
    this.stillness = matchMedia("(prefers-reduced-motion: reduce)");
  }

  show(seconds) {
    const frame = this.clock.frameAt(seconds);
    const number = this.clock.segmentAt(frame);
    const segment = this.data.segments[number];
    if (number !== this.number) this.#segment(number, segment);
    const shown = this.clock.secondsShown(segment, frame);
    if (number !== this.number || shown !== this.shown) {
      this.part("count").textContent = countdownLabel(shown);
      this.#lines(frame);
    }
    [this.number, this.shown] = [number, shown];
    const left = this.stillness.matches ? shown : segment.end_s - seconds;
    this.part("left").style.width = `${Math.min(100, Math.max(0, (100 * left) / segment.length_s))}%`;
    if (this.#lineAt(frame) !== this.line) this.#lines(frame);
    return number;
  }

  // A segment in words, for the strip and for the live region.
  tell(number) {
    const segment = this.data.segments[number];
    const { words } = this.data;
    const parts = [words[segment.kind], this.#name(segment), this.#side(segment), this.#round(segment)];
    return parts.filter(Boolean).join(", ");
  }

  #segment(number, segment) {
    const coming = this.#coming(number);
    // A rest is there for what comes after it.
    const about = segment.kind === "rest" ? coming : segment;
    const move = this.data.moves[about?.move] ?? {};
    const { words } = this.data;
    for (const part of ["kind", "gauge", "now"]) this.part(part).dataset.kind = segment.kind;
    this.part("kind-word").textContent = words[segment.kind];
    this.#text("round", about && this.#round(about));
    this.#text("what-label", segment.kind === "rest" && about ? words.next : "");
    const name = (about && this.#name(about)) || (segment.kind === "rest" ? "" : this.data.title);
    this.#text("what", name);
    this.part("heading").dataset.length = name.length > 34 ? "longest" : name.length > 17 ? "long" : "short";
    this.#text("side", about && this.#side(about));
    this.#text("shows", segment.shows.map((shown) => this.data.moves[shown].name).join(" · "));
    this.#tell("next", this.#next(number, segment));
    for (const told of ["easier", "harder", "setup", "watch", "camera", "position", "equipment"]) {
      this.#tell(told, move[told]);
    }
    const label = countdownLabel(Math.ceil(segment.length_s - 1e-6));
    this.part("count").dataset.characters = label.length;
  }

  #text(name, text) {
    const part = this.part(name);
    part.textContent = text || "";
    part.hidden = !text;
  }

  #tell(name, text) {
    const part = this.part(`tell-${name}`);
    part.querySelector("dd").textContent = text || "";
    part.hidden = !text;
  }

  #name(segment) {
    if (segment.kind === "work") return this.data.moves[segment.move]?.name;
    return segment.kind === "preview" ? segment.block_name : "";
  }

  // The side, where the name does not say it already.
  #side(segment) {
    const words = (this.#name(segment) ?? "").toLowerCase().split(/[^\p{L}\p{N}]+/u);
    return words.includes(segment.side?.toLowerCase()) ? null : segment.side;
  }

  #round({ round }) {
    const { words } = this.data;
    return round && `${words.round} ${round[0]} ${words.of} ${round[1]}`;
  }

  #coming(number) {
    return this.data.segments.slice(number + 1).find(({ kind }) => kind === "work" || kind === "preview");
  }

  #next(number, segment) {
    const next = this.data.segments[number + 1];
    if (!next || segment.kind === "rest") return "";
    const coming = next.kind === "rest" ? this.#coming(number + 1) : next;
    const { words } = this.data;
    const rest = next.kind === "rest" ? `${words.rest} ${lengthLabel(next.length_s, words, 1)}` : "";
    const named = coming && (this.#name(coming) || words[coming.kind]);
    const what = coming?.kind === "preview" ? `${words.preview}: ${named}` : named;
    const side = coming && this.#side(coming);
    return [rest, side ? `${what}, ${side}` : what].filter(Boolean).join(" · ");
  }

  #takes(seconds) {
    return this.data.words.takes.replace("{time}", lengthLabel(Math.max(1, seconds), this.data.words));
  }

  // The line that is said on a frame, or the last one before it; -1 before the first.
  #lineAt(frame) {
    return this.lineStarts.length && this.lineStarts[0] <= frame ? lastNotAfter(this.lineStarts, frame) : -1;
  }

  #lines(frame) {
    const at = this.#lineAt(frame);
    const line = this.data.lines[at];
    const isSaid = line !== undefined && frame < line[1];
    this.line = at;
    this.isSaid = isSaid;
    this.part("say-now").textContent = isSaid ? line[4] : "";
    this.part("say-now").dataset.length = isSaid && line[4].length > 60 ? "long" : "short";
    this.part("say-now-length").textContent = isSaid ? this.#takes(line[2]) : "";
    const { words } = this.data;
    const rows = this.data.lines.slice(at + 1, at + 1 + THEN_SHOWN).map((coming) => {
      const row = document.createElement("li");
      const text = document.createElement("bdi");
      text.textContent = coming[4];
      const figures = document.createElement("span");
      const away = this.clock.secondsOf(coming[0] - frame);
      const wait = words.in_time.replace("{time}", lengthLabel(Math.ceil(away - 1e-6), words));
      figures.textContent = `${wait}, ${this.#takes(coming[2])}`;
      row.append(text, " ", figures);
      return row;
    });
    this.part("say-then").replaceChildren(...rows);
  }
}
