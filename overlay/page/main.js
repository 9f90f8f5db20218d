// Puts the page together: what is clicked, pressed and remembered.

import { ClassClock } from "./clock.js";
import { List } from "./list.js";
import { Now } from "./now.js";
import { Player } from "./player.js";
import { Store } from "./store.js";
import { Strip } from "./strip.js";

// This close to its start, a segment counts as not begun: going back goes to the one before.
const JUST_BEGUN_SECONDS = 1;

const data = JSON.parse(document.getElementById("class").textContent);
const page = document.documentElement;
const byId = (id) => document.getElementById(id);
const clock = new ClassClock(data);
const store = new Store(data.title);
const now = new Now(document, data, clock);
const player = new Player(data, clock, () => changed());
const strip = new Strip(byId("strip"), clock, { goTo: (seconds) => goTo(seconds), tell: (number) => now.tell(number) });
const list = new List(document, data, clock, { goTo: (seconds) => goTo(seconds), words: (number) => now.tell(number) });
let wakeLock = null;
let toldNumber = null;

function startOf(number) {
  return clock.secondsOf(clock.starts[number]);
}

function place() {
  const { seconds } = player;
  return { seconds, number: clock.segmentAt(clock.frameAt(seconds)) };
}

function goTo(seconds) {
  player.goTo(seconds);
  repeatAround();
}

function back() {
  const { seconds, number } = place();
  const isJustBegun = seconds - startOf(number) < JUST_BEGUN_SECONDS;
  goTo(startOf(isJustBegun && number > 0 ? number - 1 : number));
}

function next() {
  const { number } = place();
  goTo(number + 1 < clock.starts.length ? startOf(number + 1) : clock.endSeconds);
}

function repeatAround() {
  if (byId("repeat").getAttribute("aria-pressed") !== "true") return player.setRepeats(null);
  const [first, last] = clock.blockAround(place().number);
  const end = last + 1 < clock.starts.length ? startOf(last + 1) : clock.endSeconds;
  return player.setRepeats([startOf(first), end]);
}

function draw() {
  const { seconds } = player;
  const number = now.show(seconds);
  strip.show(seconds, number);
  list.show(seconds, number);
  byId("at").textContent = player.isOver ? clock.wholeLabel : clock.label(seconds);
  byId("over").hidden = !player.isOver;
  if (number !== toldNumber && (player.isPlaying || toldNumber !== null)) byId("told").textContent = now.tell(number);
  toldNumber = number;
}

function drawOn() {
  if (!player.isPlaying) return;
  draw();
  requestAnimationFrame(drawOn);
}

function changed() {
  const { isPlaying } = player;
  if (page.dataset.playing !== String(isPlaying)) {
    page.dataset.playing = isPlaying;
    byId("play-word").textContent = isPlaying ? data.words.pause : data.words.play;
    keepAwake(isPlaying);
    if (isPlaying) requestAnimationFrame(drawOn);
  }
  byId("silent").hidden = !player.isSilent;
  draw();
  keepPlace();
}

function keepPlace() {
  const { seconds, number } = place();
  store.keepPlace(data.segments, number, seconds - startOf(number));
}

async function keepAwake(isWanted) {
  try {
    if (isWanted) wakeLock = await navigator.wakeLock.request("screen");
    else await wakeLock?.release();
  } catch {
    // No such thing here, or the battery is low: the class plays all the same.
  }
}

function arrange(name) {
  page.dataset.arrangement = name;
  byId("close").setAttribute("aria-pressed", name === "close");
  byId("afar").setAttribute("aria-pressed", name === "afar");
  if (name === "close") {
    list.build();
    list.number = undefined;
    draw();
  }
}

function light(name) {
  page.dataset.light = name;
  byId("dark").setAttribute("aria-pressed", name === "dark");
}

function setSpeed(speed) {
  const wanted = Number.isFinite(speed) ? Math.min(2, Math.max(0.5, speed)) : 1;
  byId("speed").value = wanted;
  const label = `${Number(wanted.toFixed(2))}×`;
  byId("speed-shown").textContent = label;
  byId("speed").setAttribute("aria-valuetext", label);
  player.setSpeed(wanted);
}

function press(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || event.shiftKey || event.defaultPrevented) return;
  const isControl = event.target.closest("button, input, summary, a");
  const keys = { ArrowLeft: back, ArrowRight: next };
  // A presenter's remote sends these two; where there is nothing to leaf through they are free.
  if (page.dataset.arrangement === "afar") Object.assign(keys, { PageUp: back, PageDown: next });
  if (!isControl) keys[" "] = toggle;
  if (!(event.key in keys) || event.target.closest("input")) return;
  event.preventDefault();
  keys[event.key]();
}

function toggle() {
  if (player.isPlaying) player.pause();
  else player.play();
}

byId("play").addEventListener("click", toggle);
byId("back").addEventListener("click", back);
byId("skip").addEventListener("click", next);
byId("repeat").addEventListener("click", ({ currentTarget }) => {
  currentTarget.setAttribute("aria-pressed", currentTarget.getAttribute("aria-pressed") !== "true");
  repeatAround();
});
byId("speed").addEventListener("input", ({ target }) => {
  setSpeed(target.valueAsNumber);
  store.set({ speed: target.valueAsNumber });
});
for (const name of ["close", "afar"]) {
  byId(name).addEventListener("click", () => {
    arrange(name);
    store.set({ arrangement: name });
  });
}
byId("dark").addEventListener("click", () => {
  light(page.dataset.light === "dark" ? "light" : "dark");
  store.set({ light: page.dataset.light });
});
document.addEventListener("keydown", press);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible" && player.isPlaying) keepAwake(true);
  keepPlace();
});
addEventListener("pagehide", keepPlace);

const prefersDark = matchMedia("(prefers-color-scheme: dark)");
const isChoice = (value, ...choices) => choices.includes(value);
light(isChoice(store.get("light"), "dark", "light") ? store.get("light") : prefersDark.matches ? "dark" : "light");
byId("whole").textContent = clock.wholeLabel;
const [number, offset] = store.place(data.segments);
player.place = Math.min(startOf(number) + offset, clock.endSeconds);
setSpeed(store.get("speed") ?? 1);
arrange(isChoice(store.get("arrangement"), "close", "afar") ? store.get("arrangement") : "close");
