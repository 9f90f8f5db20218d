// The sound of a beep, sample by sample from the figures of the tone track: raised-cosine edges, the
// pitch from its crest, the overtones from zero.

export class Beeps {
  constructor(context, sounds) {
    this.context = context;
    this.sounds = sounds;
    this.made = new Map();
  }

  // The length of a beep of a kind in seconds, all its pips together.
  seconds(kind) {
    const { pip_starts_s: starts, length_s: length } = this.sounds[kind];
    return starts[starts.length - 1] + length;
  }

  // A beep that nothing is in the way of.
  whole(kind) {
    return this.#buffer(kind, () => this.#samples(kind));
  }

  // A beep that gives way to another kind after some seconds: it fades out while that one fades in.
  givingWay(kind, after, next) {
    const from = Math.round(after * this.context.sampleRate);
    return this.#buffer(`${kind} ${from} ${next}`, () => {
      const attack = this.#edge(next);
      const samples = this.#samples(kind).slice(0, from + attack.length);
      for (let at = from; at < samples.length; at += 1) samples[at] *= 1 - attack[at - from];
      return samples;
    });
  }

  // A beep that the class ends in: it fades out on the last sample.
  ending(kind, after) {
    const room = Math.round(after * this.context.sampleRate);
    return this.#buffer(`${kind} ${room}`, () => {
      const samples = this.#samples(kind).slice(0, room);
      const release = this.#edge(kind).slice(0, room).reverse();
      const from = samples.length - release.length;
      release.forEach((level, at) => (samples[from + at] *= level));
      return samples;
    });
  }

  #buffer(name, make) {
    if (!this.made.has(name)) {
      const samples = make();
      const buffer = this.context.createBuffer(1, Math.max(samples.length, 1), this.context.sampleRate);
      buffer.copyToChannel(samples, 0);
      this.made.set(name, buffer);
    }
    return this.made.get(name);
  }

  #edge(kind) {
    const count = Math.round(this.sounds[kind].fade_s * this.context.sampleRate);
    return Float32Array.from({ length: count }, (_, at) => (1 - Math.cos((Math.PI * at) / count)) / 2);
  }

  #samples(kind) {
    const { pip_starts_s: starts, length_s: length, pitch_hz: pitch, partials } = this.sounds[kind];
    const rate = this.context.sampleRate;
    const edge = this.#edge(kind);
    const pip = Float32Array.from({ length: Math.round(length * rate) }, (_, at) => {
      const angle = (2 * Math.PI * pitch * at) / rate;
      return partials.reduce((sum, level, n) => sum + level * (n ? Math.sin((n + 1) * angle) : Math.cos(angle)), 0);
    });
    edge.forEach((level, at) => {
      pip[at] *= level;
      pip[pip.length - 1 - at] *= level;
    });
    const samples = new Float32Array(Math.round(starts[starts.length - 1] * rate) + pip.length);
    for (const start of starts) samples.set(pip, Math.round(start * rate));
    return samples;
  }
}
