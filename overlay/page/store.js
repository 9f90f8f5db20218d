// What the page remembers in this browser: the place, the arrangement, light or dark, the speed.
// A page from a disk, or a browser that is told to forget, may have no storage: then nothing is kept.

export class Store {
  constructor(title) {
    this.name = `class rehearsal: ${title}`;
    this.kept = {};
    try {
      const kept = JSON.parse(localStorage.getItem(this.name));
      if (kept && typeof kept === "object") this.kept = kept;
    } catch {
      // Nothing kept, or nothing that can be read.
    }
  }

  get(name) {
    return this.kept[name];
  }

  set(values) {
    Object.assign(this.kept, values);
    try {
      localStorage.setItem(this.name, JSON.stringify(this.kept));
    } catch {
      // It is kept for as long as the page is open.
    }
  }

  // Where the class stands, told by the segment: a plan that is changed before it does not move it.
  keepPlace(segments, number, offset) {
    const { kind, block, round, move } = segments[number];
    this.set({ place: { name: JSON.stringify([kind, block, round, move]), number, offset } });
  }

  // The number of the segment and the seconds into it; the beginning where nothing is kept.
  place(segments) {
    const { name, number, offset } = this.kept.place ?? {};
    if (typeof number !== "number" || typeof offset !== "number") return [0, 0];
    const isSame = ({ kind, block, round, move }) => JSON.stringify([kind, block, round, move]) === name;
    const same = segments.flatMap((segment, at) => (isSame(segment) ? [at] : []));
    const nearest = same.sort((one, other) => Math.abs(one - number) - Math.abs(other - number))[0];
    const found = nearest ?? Math.min(Math.max(number, 0), segments.length - 1);
    return [found, nearest === undefined ? 0 : Math.min(Math.max(offset, 0), segments[found].length_s)];
  }
}
