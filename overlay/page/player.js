// Plays the class on the audio clock. A run is a stretch of the class that is played without a jump;
// a repeated block is one run after another, each from where the one before ends on that clock, so that
// nothing drifts however long it goes on. Beeps are handed to the browser ahead of time.

import { Beeps } from "./beeps.js";

// Browsers wake a page in the background once a second.
const AHEAD_SECONDS = 2.5;
const WAKE_MS = 200;
// The first beep is not late although the sound has to start first.
const LEAD_IN_SECONDS = 0.1;
// A beep that is broken off fades: it would click.
const FADE_SECONDS = 0.03;

export class Player {
  constructor(data, clock, changed) {
    this.clock = clock;
    this.sounds = data.sounds;
    this.beeps = data.beeps.map(([frame, kind]) => ({ seconds: clock.beepSecondsOf(frame), kind }));
    this.changed = changed;
    this.speed = 1;
    this.place = 0;
    this.repeats = null;
    this.isPlaying = false;
    this.isSilent = false;
    this.runs = [];
    this.sources = new Set();
  }

  // The class's time that is heard now, in seconds.
  get seconds() {
    if (!this.isPlaying || !this.runs.length) return this.place;
    // What is handed over now is heard later by so much: the picture waits for the sound.
    const heard = this.#now() - (this.context?.outputLatency || 0);
    let run = this.runs[0];
    for (const later of this.runs) if (later.at <= heard) run = later;
    return Math.min(run.from + Math.max(0, heard - run.at) * this.speed, run.to);
  }

  get isOver() {
    return !this.isPlaying && this.place >= this.clock.endSeconds;
  }

  async play() {
    if (this.isPlaying) return;
    if (this.place >= this.clock.endSeconds) this.place = 0;
    this.isPlaying = true;
    await this.#wake();
    if (!this.isPlaying) return;
    this.#start(this.place);
    this.timer ??= setInterval(() => this.#tick(), WAKE_MS);
    this.changed();
  }

  pause() {
    if (!this.isPlaying) return;
    this.place = this.seconds;
    this.isPlaying = false;
    this.#silence();
    clearInterval(this.timer);
    this.timer = undefined;
    this.changed();
  }

  goTo(seconds) {
    const place = Math.min(Math.max(seconds, 0), this.clock.endSeconds);
    this.place = place;
    if (this.isPlaying) this.#start(place);
    this.changed();
  }

  // Times are stretched or pressed together; pitches and the beeps themselves stay as they are.
  setSpeed(speed) {
    const place = this.seconds;
    this.speed = speed;
    if (this.isPlaying) this.#start(place);
    this.changed();
  }

  // From and to which second the class goes round, or null for straight on.
  setRepeats(stretch) {
    if (stretch?.[0] === this.repeats?.[0] && stretch?.[1] === this.repeats?.[1]) return;
    const place = this.seconds;
    this.repeats = stretch;
    if (this.isPlaying) this.#start(place);
  }

  async #wake() {
    try {
      this.context ??= new AudioContext();
      this.context.onstatechange ??= () => this.#stateChanged();
      const refused = new Promise((_, refuse) => setTimeout(refuse, 1500));
      await Promise.race([this.context.resume(), refused]);
      this.voices ??= new Beeps(this.context, this.sounds);
      this.isSilent = false;
    } catch {
      // No sound card, or none that we may use: the class goes on by the page's own clock.
      this.isSilent = true;
    }
  }

  // A telephone call, or headphones that are pulled out, stop the clock: then the class waits as well.
  #stateChanged() {
    if (this.isPlaying && !this.isSilent && this.runs.length && this.context.state !== "running") this.pause();
  }

  #now() {
    return this.isSilent || !this.context ? performance.now() / 1000 : this.context.currentTime;
  }

  #start(place) {
    this.#silence();
    if (!this.isSilent) {
      this.out = this.context.createGain();
      this.out.connect(this.context.destination);
    }
    this.runs = [this.#run(this.#now() + LEAD_IN_SECONDS, place)];
    this.#tick();
  }

  #run(at, from) {
    const [start, end] = this.repeats ?? [0, this.clock.endSeconds];
    const isInside = this.repeats !== null && from >= start && from < end;
    const to = isInside ? end : this.clock.endSeconds;
    const next = this.beeps.findIndex((beep) => beep.seconds >= from - 1e-6);
    return { at, from, to, again: isInside ? start : null, next: next < 0 ? this.beeps.length : next };
  }

  #tick() {
    const until = this.#now() + AHEAD_SECONDS;
    let last = this.runs[this.runs.length - 1];
    this.#schedule(last, until);
    while (last.again !== null && this.#timeIn(last, last.to) < until) {
      last = this.#run(this.#timeIn(last, last.to), last.again);
      this.runs.push(last);
      this.#schedule(last, until);
    }
    while (this.runs.length > 1 && this.runs[1].at < this.#now() - 1) this.runs.shift();
    if (this.seconds >= this.clock.endSeconds) this.#finish();
  }

  #finish() {
    this.pause();
    this.place = this.clock.endSeconds;
    this.changed();
  }

  #timeIn(run, seconds) {
    return run.at + (seconds - run.from) / this.speed;
  }

  #schedule(run, until) {
    for (; run.next < this.beeps.length; run.next += 1) {
      const beep = this.beeps[run.next];
      const when = this.#timeIn(run, beep.seconds);
      if (beep.seconds >= run.to || when >= until) return;
      if (!this.isSilent) this.#sound(beep, when, this.beeps[run.next + 1], run);
    }
  }

  #sound(beep, when, following, run) {
    const source = this.context.createBufferSource();
    source.buffer = this.#bufferFor(beep, following, run);
    source.connect(this.out);
    source.onended = () => this.sources.delete(source);
    source.start(when);
    this.sources.add(source);
  }

  #bufferFor(beep, following, run) {
    const length = this.voices.seconds(beep.kind);
    const room = (run.to - beep.seconds) / this.speed;
    const gap = following && following.seconds < run.to ? (following.seconds - beep.seconds) / this.speed : Infinity;
    if (gap < length) return this.voices.givingWay(beep.kind, gap, following.kind);
    return room < length ? this.voices.ending(beep.kind, room) : this.voices.whole(beep.kind);
  }

  #silence() {
    const now = this.context?.currentTime;
    this.out?.gain.setTargetAtTime(0, now, FADE_SECONDS / 5);
    for (const source of this.sources) source.stop(now + FADE_SECONDS);
    this.out = undefined;
    this.sources.clear();
    this.runs = [];
  }
}
