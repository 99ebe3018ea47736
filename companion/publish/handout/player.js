// What a handout does: it plays the click and the parts, moves the place, and notes attempts.
//
// The numbers in #playing come from handout_sound.py. Clock time is counted from the beginning
// of the passage; a pace says how many seconds a unit of it lasts. Every stroke is handed to
// the browser's audio clock at its own moment, worked out from the plan and never added up.
"use strict";

const page = JSON.parse(document.getElementById("playing").textContent);
const AHEAD = 1.5; // Seconds that are handed over at a time: hidden pages wake once a second.
const SOON = 0.1;

// Time: from a place in the music to seconds and back.

function stretchBy(pace, column, value) {
  let found = pace[0];
  for (const stretch of pace) if (stretch[column] <= value) found = stretch;
  return found;
}

function secondsAt(pace, at) {
  const [begin, seconds, slope, change] = stretchBy(pace, 0, at);
  return seconds + (at - begin) * (slope + (change * (at - begin)) / 2);
}

function placeAt(pace, time) {
  const [begin, seconds, slope, change] = stretchBy(pace, 1, time);
  const rest = time - seconds;
  if (!change) return begin + rest / slope;
  return begin + (2 * rest) / (slope + Math.sqrt(Math.max(0, slope * slope + 2 * change * rest)));
}

/** The times through one after another, from number `first` (from 0), after a count-in. */
class Timeline {
  constructor(lesson, setting, first) {
    Object.assign(this, { lesson, setting, first });
    const bars = lesson.sound.bars;
    this.from = bars[setting.from].at;
    this.to = setting.to + 1 < bars.length ? bars[setting.to + 1].at : lesson.sound.length;
    this.counted = setting.countIn ? lesson.sound.counted[setting.from] : { length: 0, strokes: [] };
    const [begin, , slope, change] = stretchBy(this.pace(first), 0, this.from);
    this.countPace = slope + change * (this.from - begin);
    this.begins = [this.counted.length * this.countPace];
    this.end = setting.again ? Infinity : Math.max(lesson.sound.times, first + 1);
  }

  pace(number) {
    const { sound } = this.lesson, { bpm } = this.setting;
    if (bpm) return [[0, 0, 60 / bpm / sound.beat, 0]];
    const round = sound.paces.length - sound.opening;
    const over = number - sound.opening;
    return sound.paces[over < 0 ? number : sound.opening + (over % round)];
  }

  /** Beats a minute at the beginning of a time through. */
  bpm(number) {
    const [begin, , slope, change] = stretchBy(this.pace(number), 0, this.from);
    return 60 / (slope + change * (this.from - begin)) / this.lesson.sound.beat;
  }

  lasts(number) {
    const pace = this.pace(number);
    return secondsAt(pace, this.to) - secondsAt(pace, this.from);
  }

  begin(number) {
    const begins = this.begins;
    while (begins.length <= number - this.first) {
      begins.push(begins.at(-1) + this.lasts(this.first + begins.length - 1));
    }
    return begins[number - this.first];
  }

  seconds(number, at) {
    const pace = this.pace(number);
    return this.begin(number) + secondsAt(pace, at) - secondsAt(pace, this.from);
  }

  /** {number, at}; while counting in, `at` lies before the music; null when it is over. */
  place(seconds) {
    if (seconds < this.begins[0] && !this.counted.length) return { number: this.first, at: this.from };
    if (seconds < this.begins[0]) {
      return { number: -1, at: this.from + (seconds - this.begins[0]) / this.countPace };
    }
    let number = this.first + this.begins.length - 1;
    while (number > this.first && this.begin(number) > seconds) number -= 1;
    while (this.begin(number + 1) <= seconds) number += 1;
    if (number >= this.end) return null;
    const pace = this.pace(number);
    return { number, at: placeAt(pace, seconds - this.begin(number) + secondsAt(pace, this.from)) };
  }

  /** Everything that sounds, in order, beginning with the count-in. */
  *events() {
    for (const [at, layer, sound] of this.counted.strokes) {
      if (layer < 0 || this.setting.layers.has(layer) || this.lesson.sound.layers[layer] === "beat") {
        yield { at: at * this.countPace, sound, share: 1 };
      }
    }
    for (let number = this.first; number < this.end; number += 1) {
      yield { at: this.begin(number) }; // So that silence without end is handed over piece by piece.
      yield* this.through(number);
    }
  }

  through(number) {
    const { strokes, shares, notes } = this.lesson.sound, { setting } = this;
    const found = [];
    const row = setting.silences && shares ? shares.rows[shares.of[number % shares.of.length]] : null;
    strokes.forEach(([at, layer, sound], index) => {
      const share = row ? row[index] : 1;
      if (share && setting.layers.has(layer) && at >= this.from && at < this.to) {
        found.push({ at: this.seconds(number, at), sound, share });
      }
    });
    for (const [at, length, hertz, level, part, tone] of notes) {
      const begin = Math.max(at, this.from), end = Math.min(at + length, this.to);
      if (!setting.parts.has(part) || begin >= end) continue;
      const time = this.seconds(number, begin);
      found.push({ at: time, lasts: this.seconds(number, end) - time, hertz, level, part, tone });
    }
    return found.sort((one, other) => one.at - other.at);
  }
}

// Sound: one event on an audio clock, the page's own or one that renders at once.

class Band {
  constructor(context, lesson, volume) {
    Object.assign(this, { context, playing: new Set() });
    this.volume = new GainNode(context, { gain: volume });
    this.volume.connect(context.destination);
    const merger = new ChannelMergerNode(context, { numberOfInputs: 2 });
    merger.connect(this.volume);
    const seat = (levels) => {
      const into = new GainNode(context);
      levels.forEach((gain, ear) => {
        const side = new GainNode(context, { gain });
        into.connect(side).connect(merger, 0, ear);
      });
      return into;
    };
    this.sounds = lesson.sound.sounds.map(([voice, left, right]) => ({
      buffer: this.stroke(page.voices[voice]),
      into: seat([left, right]),
    }));
    this.seats = lesson.sound.seats.map(seat);
    this.waves = {};
    for (const [name, tone] of Object.entries(page.tones)) {
      this.waves[name] = tone.bands.map(({ partials }) => {
        const imag = Float32Array.from([0, ...partials]);
        const real = new Float32Array(imag.length);
        return new PeriodicWave(context, { real, imag, disableNormalization: true });
      });
    }
  }

  stroke(written) {
    const bytes = Uint8Array.from(atob(written), (letter) => letter.charCodeAt(0));
    const samples = new Int16Array(bytes.buffer);
    const buffer = this.context.createBuffer(1, samples.length, page.rate);
    buffer.copyToChannel(Float32Array.from(samples, (sample) => sample / 32767), 0);
    return buffer;
  }

  add(event, begin) {
    const at = begin + event.at;
    if (event.hertz) this.note(event, at);
    if (event.sound === undefined) return;
    const source = new AudioBufferSourceNode(this.context, { buffer: this.sounds[event.sound].buffer });
    const level = new GainNode(this.context, { gain: event.share });
    source.connect(level).connect(this.sounds[event.sound].into);
    this.keep(source);
    source.start(at);
  }

  note({ lasts, hertz, level, part, tone }, at) {
    const { attack, release, bands } = page.tones[tone];
    const envelope = new GainNode(this.context, { gain: 0 });
    envelope.connect(this.seats[part]);
    const gain = envelope.gain, end = at + lasts;
    gain.setValueAtTime(0, at);
    gain.linearRampToValueAtTime(level, at + Math.min(attack, lasts / 4));
    gain.setValueAtTime(level, end - Math.min(release, lasts / 4));
    gain.linearRampToValueAtTime(0, end);
    bands.forEach(({ decay }, number) => {
      const source = new OscillatorNode(this.context, {
        frequency: hertz,
        periodicWave: this.waves[tone][number],
      });
      const fall = new GainNode(this.context);
      if (decay) fall.gain.setTargetAtTime(0, at, decay);
      source.connect(fall).connect(envelope);
      this.keep(source);
      source.start(at);
      source.stop(end);
    });
  }

  keep(source) {
    this.playing.add(source);
    source.onended = () => this.playing.delete(source);
  }

  silence() {
    for (const source of this.playing) {
      source.onended = null;
      source.disconnect();
    }
    this.playing.clear();
  }
}

// A player: the controls of one passage.

let context = null;
let sounding = null;

class Player {
  constructor(section, lesson) {
    Object.assign(this, { section, lesson, number: 0, done: [], seconds: 0, marked: [] });
    this.button = this.find(".play");
    this.state = this.find(".state");
    this.button.addEventListener("click", () => (sounding === this ? this.stop() : this.play()));
    this.find(".restart").addEventListener("click", () => this.restart());
    this.find(".controls").addEventListener("change", (event) => this.changed(event.target));
    this.find(".volume").addEventListener("input", () => this.loudness());
    this.find(".bpm").addEventListener("input", () => (this.find(".own").checked = true));
    for (const lanes of section.querySelectorAll(".lanes")) {
      lanes.addEventListener("click", (event) => this.enter(lanes, event));
    }
  }

  find(selector) {
    return this.section.querySelector(selector);
  }

  numbers(selector) {
    const chosen = this.section.querySelectorAll(`${selector}:checked`);
    return new Set([...chosen].map((box) => Number(box.value)));
  }

  /** What is chosen on the page. */
  setting() {
    const tempo = this.find(".tempo:checked").value;
    const from = Number(this.find(".from").value);
    return {
      bpm: tempo === "plan" ? 0 : tempo === "own" ? this.own() : Number(tempo),
      layers: this.numbers(".layer"),
      parts: this.numbers(".part"),
      silences: !this.find(".silences") || this.find(".silences").checked,
      from,
      to: Math.max(from, Number(this.find(".to").value)),
      countIn: this.find(".count-in").checked,
      again: this.find(".again").checked,
    };
  }

  /** The tempo that was typed, kept within what can be played to. */
  own() {
    const { value, min, max, defaultValue } = this.find(".bpm");
    return Math.min(Math.max(Number(value) || Number(defaultValue), min), max);
  }

  loudness() {
    const level = (Number(this.find(".volume").value) / 100) ** 2;
    if (this.band) this.band.volume.gain.value = level;
    return level;
  }

  play() {
    if (sounding) sounding.stop();
    context = context || new AudioContext({ latencyHint: "interactive" });
    context.resume();
    this.line = new Timeline(this.lesson, this.setting(), this.number);
    this.begin(context.currentTime + SOON);
    sounding = this;
    this.button.textContent = "Stop";
    this.timer = setInterval(() => this.hand(), 200);
    this.draw();
  }

  /** Sound the timeline so that its second 0 falls at `start`, leaving out what is over. */
  begin(start) {
    if (this.band) this.band.silence();
    this.band = new Band(context, this.lesson, this.loudness());
    this.start = start;
    this.events = this.line.events();
    this.next = this.events.next();
    while (!this.next.done && this.start + this.next.value.at < context.currentTime) {
      this.next = this.events.next();
    }
    this.hand();
  }

  hand() {
    const until = context.currentTime + AHEAD - this.start;
    while (!this.next.done && this.next.value.at < until) {
      this.band.add(this.next.value, this.start);
      this.next = this.events.next();
    }
    this.follow();
  }

  /** Seconds of the timeline that are heard now. */
  now() {
    return context.currentTime - (context.outputLatency || context.baseLatency || 0) - this.start;
  }

  /** Count the times through that are over, and say which one is on. */
  follow() {
    const place = this.line.place(this.now());
    const on = place ? place.number : this.line.end;
    for (; on > this.number; this.number += 1) {
      this.done.push({ bpm: this.line.bpm(this.number), setting: this.line.setting });
      this.seconds += this.line.lasts(this.number);
    }
    if (!place) {
      this.number = 0;
      this.stop("Played to the end.");
    } else if (place.number < 0) {
      this.say("Counting in.");
    } else {
      const of = this.line.end === Infinity ? "" : ` of ${this.line.end}`;
      this.say(`Time ${on + 1}${of}, ${this.lesson.beat} = ${tidy(this.line.bpm(on))}.`);
    }
    return place;
  }

  say(told) {
    if (this.state.textContent !== told) this.state.textContent = told;
  }

  stop(told = this.number ? `Stopped. Play goes on with time ${this.number + 1}.` : "Stopped.") {
    clearInterval(this.timer);
    this.band.silence();
    sounding = null;
    this.button.textContent = "Play";
    this.say(told);
    this.mark([]);
    for (const line of this.section.querySelectorAll(".place")) line.setAttribute("visibility", "hidden");
    fill(this);
  }

  restart() {
    this.number = 0;
    if (sounding === this) this.stop();
    this.play();
  }

  /** Go on from the same place in another setting; from the beginning if it has not that place. */
  changed(control) {
    if (control.matches(".from, .to")) this.number = 0;
    if (sounding !== this || control.matches(".volume")) return;
    const place = this.line.place(this.now());
    const line = new Timeline(this.lesson, { ...this.setting(), countIn: false }, this.number);
    if (!place || place.number < 0 || place.at < line.from || place.at >= line.to) {
      this.stop();
      this.play();
      return;
    }
    this.line = line;
    this.begin(context.currentTime + SOON / 2 - line.seconds(this.number, place.at));
  }

  // The place on the lanes and in the notes.

  draw() {
    if (sounding !== this) return;
    const place = this.follow();
    if (place) this.show(place.at, place.number < 0);
    requestAnimationFrame(() => this.draw());
  }

  show(at, isCounting) {
    for (const line of this.section.querySelectorAll(".line")) {
      const { from, to, width } = line.dataset;
      const share = (at - from) / (to - from);
      const mark = line.querySelector(".place");
      const isHere = !isCounting && share >= 0 && share < 1;
      mark.setAttribute("visibility", isHere ? "visible" : "hidden");
      if (!isHere) continue;
      mark.setAttribute("transform", `translate(${share * width} 0)`);
      mark.classList.toggle("silent", this.isSilent(at));
    }
    const on = isCounting ? [] : this.lesson.engraved.filter(([, begin, end]) => begin <= at && at < end);
    this.mark(on.map(([id]) => id));
  }

  /** Whether a silence takes every stroke of the bar that is on. */
  isSilent(at) {
    const { bars, shares, strokes } = this.lesson.sound;
    if (!shares || !this.line?.setting.silences) return false;
    const row = shares.rows[shares.of[this.number % shares.of.length]];
    const bar = (moment) => bars.findLastIndex((one) => one.at <= moment);
    const own = strokes.flatMap(([when, layer], index) =>
      bar(when) === bar(at) && this.line.setting.layers.has(layer) ? [row[index]] : [],
    );
    return own.length > 0 && own.every((share) => share === 0);
  }

  mark(ids) {
    if (String(ids) === String(this.marked)) return;
    for (const id of this.marked) document.getElementById(id)?.classList.remove("on");
    for (const id of ids) document.getElementById(id)?.classList.add("on");
    this.marked = ids;
  }

  /** Begin at the bar of the lanes that was touched. */
  enter(lanes, event) {
    const touched = event.target.closest(".line");
    if (!touched) return;
    const { from, to, left, width } = touched.dataset;
    const box = lanes.getBoundingClientRect();
    const x = ((event.clientX - box.left) * lanes.viewBox.baseVal.width) / box.width;
    const at = Number(from) + ((x - left) / width) * (to - from);
    const bars = this.lesson.sound.bars;
    const bar = bars.findLastIndex((one) => one.at <= at);
    this.find(".from").value = String(Math.max(0, bar));
    if (Number(this.find(".to").value) < bar) this.find(".to").value = String(bars.length - 1);
    this.changed(this.find(".from"));
  }

  /** The sound of so many seconds as two lists of samples, rendered at once. For tests. */
  async rendered(setting, seconds, rate) {
    const offline = new OfflineAudioContext(2, Math.round(seconds * rate), rate);
    const band = new Band(offline, this.lesson, 1);
    for (const event of new Timeline(this.lesson, { ...this.setting(), ...setting }, 0).events()) {
      if (event.at >= seconds) break;
      band.add(event, 0);
    }
    const made = await offline.startRendering();
    return [made.getChannelData(0), made.getChannelData(1)];
  }
}

function tidy(number) {
  return String(Math.round(number * 10) / 10);
}

// Attempts: noted here, kept in the browser where it lets a page keep anything, saved as a file.

const A_DAY = 24 * 60 * 60; // Seconds: more in one day no report can hold.
const KEPT = `handout ${page.id}`;
let attempts = [];
let areSaved = true;

function keep() {
  try {
    localStorage.setItem(KEPT, JSON.stringify(attempts));
  } catch {
    // A private window keeps nothing; leaving the page then asks first.
  }
}

function kept() {
  try {
    const found = JSON.parse(localStorage.getItem(KEPT)) || [];
    return found.filter((one) => page.lessons[one.lesson]);
  } catch {
    return [];
  }
}

/** A fresh random identity (UUID version 4, RFC 9562). */
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** This moment with the offset of the local clock (RFC 3339). */
function moment() {
  const at = new Date(), offset = -at.getTimezoneOffset();
  const two = (number) => String(Math.floor(Math.abs(number))).padStart(2, "0");
  const local = new Date(at.getTime() + offset * 60000).toISOString().slice(0, 23);
  return `${local}${offset < 0 ? "-" : "+"}${two(offset / 60)}:${two(offset % 60)}`;
}

/** Fill in what was just played: the last tempo, and how often in a row. */
function fill(player) {
  const last = player.done.at(-1);
  if (!last) return;
  const alike = (one) => one.bpm === last.bpm && one.setting.from === last.setting.from && one.setting.to === last.setting.to;
  const other = player.done.findLastIndex((one) => !alike(one));
  player.find(".noted-bpm").value = tidy(last.bpm);
  player.find(".noted-times").value = String(player.done.length - 1 - other);
}

/** The bars as printed: `13–20`, `II:225–230`. */
function printed(names, from, to) {
  const [first, last] = [names[from].name, names[to].name];
  if (from === to) return first;
  const movement = first.slice(0, first.indexOf(":") + 1);
  return `${first}–${last.startsWith(movement) ? last.slice(movement.length) : last}`;
}

function attempt(player) {
  const { lesson } = player, last = player.done.at(-1);
  const setting = last ? last.setting : player.setting();
  const isWhole = setting.from === 0 && setting.to === lesson.sound.bars.length - 1;
  const hasClick = player.find(".with-click").checked;
  const layers = hasClick ? [...setting.layers].map((layer) => lesson.sound.layers[layer]) : [];
  const bpm = Math.round(Number(player.find(".noted-bpm").value) * 10);
  const times = Number(player.find(".noted-times").value);
  const whole = (times * lesson.sound.length * 600) / bpm / lesson.sound.beat;
  const seconds = player.seconds || whole; // Played in the page, or worked out.
  return {
    lesson: page.lessons.indexOf(lesson),
    id: newId(),
    at: moment(),
    first: lesson.attempt.first + setting.from,
    last: lesson.attempt.first + setting.to,
    printed: isWhole ? lesson.attempt.printed : printed(lesson.sound.bars, setting.from, setting.to),
    tempo: bpm % 10 ? `${bpm}/10` : String(bpm / 10),
    beat: lesson.beat,
    layers,
    silences: hasClick && setting.silences ? lesson.attempt.silences : "",
    accompaniment: last ? [...setting.parts].filter((part) => part).map((part) => lesson.attempt.parts[part]) : [],
    repetitions: times,
    seconds: Math.round(Math.min(seconds, A_DAY) * 10) / 10,
    outcome: player.find(".outcome:checked").value,
  };
}

function note(player, event) {
  event.preventDefault();
  attempts.push(attempt(player));
  Object.assign(player, { done: [], seconds: 0 });
  changed("");
  player.find(".noted").textContent = `Noted: ${told(attempts.at(-1))}.`;
}

function told(one) {
  const times = one.repetitions === 1 ? "once" : `${one.repetitions} times`;
  const bars = one.first === one.last ? "bar" : "bars";
  return `${page.lessons[one.lesson].title}, ${bars} ${one.printed}: ${one.outcome} at ${one.beat} = ${tidy(tempo(one))}, ${times}`;
}

function tempo(one) {
  const [above, below] = one.tempo.split("/").map(Number);
  return above / (below || 1);
}

function changed(said) {
  keep();
  areSaved = false;
  list();
  document.querySelector(".saying").textContent = said;
}

function list() {
  const items = attempts.map((one) => {
    const item = document.createElement("li"), button = document.createElement("button");
    item.textContent = `${one.at.slice(0, 10)} ${one.at.slice(11, 16)}, ${told(one)} `;
    button.type = "button";
    button.textContent = "Delete";
    button.ariaLabel = `Delete: ${told(one)}`;
    button.addEventListener("click", () => {
      const at = attempts.indexOf(one);
      attempts.splice(at, 1);
      changed("Deleted.");
      undo(one, at);
    });
    item.append(button);
    return item;
  });
  document.querySelector(".attempts").replaceChildren(...items);
}

function undo(one, at) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Undo";
  button.addEventListener("click", () => {
    attempts.splice(at, 0, one);
    changed("It is there again.");
    document.querySelectorAll(".attempts button")[at].focus();
  });
  document.querySelector(".saying").append(" ", button);
  button.focus();
}

// The file: one that the student's own log takes in, and the teacher's table of the class.

function save(event) {
  event.preventDefault();
  const said = document.querySelector(".saying");
  if (!attempts.length) {
    said.textContent = "Nothing is noted yet.";
    return;
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([file()], { type: "application/json" }));
  link.download = `${page.file}-${moment().slice(0, 10)}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  areSaved = true;
  said.textContent = `Saved as ${link.download}. Send that file to your teacher.`;
}

/** The report with its checksum, and beside it the same attempts as an export of a log. */
function file() {
  const at = moment();
  const body = JSON.stringify(report(at));
  const log = {
    form: page.log.form,
    version: page.log.version,
    written: at,
    attempts: attempts.map(logged),
    entries: [],
    goals: [],
    occasions: [],
  };
  const head = { kind: page.report.kind, format: page.report.format, about: page.report.about, sha256: sha256(body) };
  return `${JSON.stringify(head).slice(0, -1)},\n"body": ${body},\n${JSON.stringify(log).slice(1)}\n`;
}

function logged({ lesson, ...one }) {
  const { score, part } = page.lessons[lesson].attempt;
  return { ...one, score, part, note: "" };
}

function report(at) {
  const typed = (selector) => document.querySelector(selector).value.trim();
  const minutes = {}, passages = new Map();
  for (const one of attempts) {
    const day = one.at.slice(0, 10);
    minutes[day] = Math.min((minutes[day] || 0) + one.seconds / 60, A_DAY / 60);
    const key = [one.lesson, one.first, one.last].join();
    if (!passages.has(key)) passages.set(key, passage(one));
    const { lesson, first, last, printed, repetitions, ...rest } = one;
    passages.get(key).attempts.push({ ...rest, times: repetitions });
  }
  return {
    made: at,
    name: typed(".student"),
    note: typed(".words"),
    since: null,
    only_exercises: page.exercise !== null,
    minutes,
    passages: [...passages.values()],
    exercises: page.exercise ? [exercise(page.exercise)] : [],
  };
}

function passage(one) {
  const { score, part } = page.lessons[one.lesson].attempt;
  return {
    score: score.digest,
    title: score.title,
    part: part.id,
    part_name: part.name,
    first: one.first,
    last: one.last,
    label: one.printed,
    state: "",
    held: "",
    attempts: [],
  };
}

/** How far the exercise is by what was noted here. */
function exercise({ drills, ...told }) {
  const found = drills.map((drill) => ({ ...drill, ...progress(drill) }));
  const every = (state) => found.every((drill) => drill.state === state);
  const state = every("done") ? "done" : every("assigned") ? "assigned" : "in progress";
  return { ...told, state, drills: found };
}

function progress({ part, score, first, last, aims }) {
  const rank = (outcome) => page.outcomes.indexOf(outcome);
  const goal = tempo({ tempo: aims.tempo.bpm });
  const days = new Map();
  const tried = attempts.filter((one) => {
    const own = page.lessons[one.lesson].attempt;
    return own.score.digest === score && own.part.id === part && one.first === first && one.last === last;
  });
  for (const one of tried) {
    if (rank(one.outcome) < rank(aims.outcome) || tempo(one) < goal) continue;
    const day = one.at.slice(0, 10);
    days.set(day, (days.get(day) || 0) + one.repetitions);
  }
  const good = [...days.values()].filter((times) => times >= aims.times).length;
  const state = good >= aims.days ? "done" : tried.length ? "in progress" : "assigned";
  return { state, tries: tried.length, good_days: good };
}

/** SHA-256 of a text in UTF-8, as hex (FIPS 180-4). The browser's own is not there for files. */
function sha256(text) {
  const primes = [];
  for (let n = 2; primes.length < 64; n += 1) if (primes.every((prime) => n % prime)) primes.push(n);
  const fraction = (number) => ((number - Math.floor(number)) * 2 ** 32) | 0;
  const k = primes.map((prime) => fraction(Math.cbrt(prime)));
  const hash = primes.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));
  const bytes = new TextEncoder().encode(text);
  const padded = new DataView(new ArrayBuffer((((bytes.length + 8) >> 6) + 1) << 6));
  bytes.forEach((byte, at) => padded.setUint8(at, byte));
  padded.setUint8(bytes.length, 0x80);
  padded.setUint32(padded.byteLength - 8, Math.floor(bytes.length / 2 ** 29));
  padded.setUint32(padded.byteLength - 4, bytes.length << 3);
  const turn = (word, by) => (word >>> by) | (word << (32 - by));
  for (let block = 0; block < padded.byteLength; block += 64) {
    const w = Array.from({ length: 16 }, (_, at) => padded.getInt32(block + 4 * at));
    let [a, b, c, d, e, f, g, h] = hash;
    for (let at = 0; at < 64; at += 1) {
      if (at > 15) {
        const [early, late] = [w[at - 15], w[at - 2]];
        const one = turn(early, 7) ^ turn(early, 18) ^ (early >>> 3);
        const other = turn(late, 17) ^ turn(late, 19) ^ (late >>> 10);
        w[at] = (w[at - 16] + one + w[at - 7] + other) | 0;
      }
      const one = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + k[at] + w[at]) | 0;
      const other = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + other) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((word, at) => (hash[at] = (hash[at] + word) | 0));
  }
  return hash.map((word) => (word >>> 0).toString(16).padStart(8, "0")).join("");
}

// The page comes to life.

const players = [...document.querySelectorAll("section.player")].map(
  (section, number) => new Player(section, page.lessons[number]),
);
for (const player of players) {
  player.find(".noting").addEventListener("submit", (event) => note(player, event));
}
document.querySelector(".saving").addEventListener("submit", save);
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && sounding) sounding.stop();
});
window.addEventListener("beforeunload", (event) => {
  if (!areSaved && String(kept().map((one) => one.id)) !== String(attempts.map((one) => one.id))) {
    event.preventDefault();
  }
});
for (const hidden of document.querySelectorAll(".needs-script")) hidden.hidden = false;
attempts = kept();
list();
