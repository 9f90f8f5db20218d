// The whole class as one strip, to scale, to click and to walk along with the keys of a slider.

const STEP_SECONDS = 5;

export class Strip {
  constructor(element, clock, { goTo, tell }) {
    this.element = element;
    this.clock = clock;
    this.tell = tell;
    this.passed = element.querySelector(".passed");
    element.querySelector(".cells").replaceChildren(...cells(clock.segments));
    document.getElementById("names").replaceChildren(...names(clock.segments));
    element.setAttribute("aria-valuemax", Math.ceil(clock.endSeconds));
    const point = (event) => {
      const box = element.getBoundingClientRect();
      goTo(((event.clientX - box.left) / box.width) * clock.endSeconds);
    };
    element.addEventListener("pointerdown", (event) => {
      element.setPointerCapture(event.pointerId);
      point(event);
    });
    element.addEventListener("pointermove", (event) => {
      if (element.hasPointerCapture(event.pointerId)) point(event);
    });
    element.addEventListener("keydown", (event) => {
      const step = { ArrowRight: STEP_SECONDS, ArrowUp: STEP_SECONDS, ArrowLeft: -STEP_SECONDS, ArrowDown: -STEP_SECONDS };
      const places = { Home: 0, End: clock.endSeconds };
      const place = places[event.key] ?? (event.key in step ? this.seconds + step[event.key] : undefined);
      if (place === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      event.stopPropagation();
      goTo(place);
    });
  }

  show(seconds, number) {
    this.seconds = seconds;
    this.passed.style.width = `${(100 * seconds) / this.clock.endSeconds}%`;
    const whole = Math.floor(seconds);
    if (whole === this.whole && number === this.number) return;
    [this.whole, this.number] = [whole, number];
    this.element.setAttribute("aria-valuenow", whole);
    this.element.setAttribute("aria-valuetext", `${this.clock.label(seconds)}, ${this.tell(number)}`);
  }
}

// One cell a segment, as wide as it is long; where a block begins there is a tick.
function cells(segments) {
  return segments.map((segment, number) => {
    const cell = document.createElement("span");
    cell.dataset.kind = segment.kind;
    cell.style.flexGrow = segment.frames[1] - segment.frames[0];
    cell.classList.toggle("first", number > 0 && segment.block !== segments[number - 1].block);
    return cell;
  });
}

// The blocks' names, each as wide as its block.
function names(segments) {
  const made = [];
  segments.forEach((segment, number) => {
    if (number === 0 || segment.block !== segments[number - 1].block) {
      made.push(document.createElement("bdi"));
      made[made.length - 1].textContent = segment.block_name ?? "";
      made[made.length - 1].frames = 0;
    }
    const name = made[made.length - 1];
    name.frames += segment.frames[1] - segment.frames[0];
    name.style.flexGrow = name.frames;
  });
  return made;
}
