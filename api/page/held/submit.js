// @ts-check
/** A new study: paste or upload it, see what is wrong at its lines, start it. */

import { el, fill, labelled, tell } from "./dom.js";
import { go, state } from "./address.js";
import { count, time } from "./numbers.js";
import { ask, Problem, runPath, send } from "./server.js";

export const title = "New study";

/** @param {Element} main @param {any} _place @param {AbortSignal} signal */
export async function show(main, _place, signal) {
  const old = state().get("from");
  const begun = old ? await ask(`${runPath(old)}/study`, signal) : { study: "", files: {} };
  main.append(new Form(begun, old).node);
}

class Form {
  /** @param {{study: string, files: Record<string, string>}} begun @param {string | null} old */
  constructor(begun, old) {
    this.files = { ...begun.files };
    this.sent = "";
    this.key = "";
    this.text = el("textarea", { spellcheck: "false", autocomplete: "off", wrap: "off", "aria-describedby": "outcome",
      onkeydown: (event) => this.leave(event) });
    this.text.value = begun.study;
    this.list = el("ul", {});
    this.outcome = el("div", { id: "outcome" });
    this.minutes = el("input", { type: "number", min: 0.1, step: "any", placeholder: "as it says" });
    this.designs = el("input", { type: "number", min: 1, step: 1, placeholder: "as it says" });
    this.node = el("div", {}, el("h1", {}, old ? `A new study from ${old}` : "New study"),
      el("p", {}, "Paste the study file, or choose it together with the files that it names (recorded strides, robot models). Nothing runs before you start it."),
      el("form", { onsubmit: (event) => { event.preventDefault(); this.start(); } },
        this.upload(), labelled("Study file", this.text), this.list,
        el("div", { class: "row" }, labelled("Time to search [min]", this.minutes), labelled("Designs to try", this.designs)),
        el("div", { class: "row" }, el("button", { type: "button", onclick: () => this.check() }, "Check"), el("button", { class: "main" }, "Start the search"))),
      this.outcome);
    this.showFiles();
  }

  upload() {
    const chooser = el("input", { type: "file", multiple: true, onchange: () => this.read(chooser.files) });
    const example = el("button", { type: "button", onclick: () => this.example() }, "Take the example");
    return el("div", { class: "row" }, labelled("Files", chooser), example);
  }

  async example() {
    const told = await ask("/page/example");
    this.text.value = told.study;
    this.files = told.files;
    this.showFiles();
    tell("the example study is in the box");
  }

  /** @param {FileList} chosen */
  async read(chosen) {
    for (const file of chosen) {
      const content = await file.text();
      if (/\.ya?ml$/i.test(file.name)) this.text.value = content;
      else this.files[file.name] = content;
    }
    this.showFiles();
  }

  showFiles() {
    fill(this.list, ...Object.keys(this.files).map((name) => el("li", {}, `beside it: ${name}, ${count(this.files[name].length)} characters `,
      el("button", { type: "button", "aria-label": `Leave out ${name}`, onclick: () => { delete this.files[name]; this.showFiles(); } }, "Leave out"))));
  }

  /** Escape leaves the box, since Tab is needed to leave it too. @param {KeyboardEvent} event */
  leave(event) {
    if (event.key === "Escape") this.text.blur();
  }

  get asked() {
    return { study: this.text.value, files: this.files };
  }

  async check() {
    const told = await send("/v1/check", this.asked).catch((error) => this.refused(error));
    if (!told) return;
    if (told.valid) fill(this.outcome, outline(told.asked));
    else this.wrong(told.errors);
    tell(told.valid ? "the study can be searched" : `${told.errors.length} problems`);
  }

  async start() {
    const budget = { ...(this.minutes.value ? { time: `${Number(this.minutes.value)} min` } : {}), ...(this.designs.value ? { designs: Number(this.designs.value) } : {}) };
    const asked = { ...this.asked, ...budget };
    const told = await send("/v1/runs", asked, { "Idempotency-Key": this.keyOf(asked) }).catch((error) => this.refused(error));
    if (told) go(`/runs/${encodeURIComponent(told.id)}/progress`);
  }

  /** The same key for the same words, so that what is sent twice is started once. @param {any} asked */
  keyOf(asked) {
    const words = JSON.stringify(asked);
    if (words !== this.sent) {
      this.sent = words;
      this.key = Array.from(crypto.getRandomValues(new Uint32Array(4)), (one) => one.toString(16)).join("-");
    }
    return this.key;
  }

  /** @param {any} error */
  refused(error) {
    if (!(error instanceof Problem)) throw error;
    this.wrong(error.errors.length ? error.errors : [{ detail: error.message }]);
    return null;
  }

  /** @param {any[]} errors */
  wrong(errors) {
    const items = errors.map((one) => el("li", {}, one.line ? this.place(one) : null, ` ${one.detail}`, this.excerpt(one)));
    const head = el("h2", { tabindex: -1 }, errors.length === 1 ? "One thing is wrong" : `${errors.length} things are wrong`);
    fill(this.outcome, el("div", { class: "problems" }, head, el("ol", {}, ...items)));
    head.focus();
  }

  /** A button that leads to the place. @param {any} one */
  place(one) {
    const words = `${one.file && one.file !== "study" ? `${one.file}, ` : ""}line ${one.line}`;
    if (one.file && one.file in this.files) return el("strong", {}, words);
    return el("button", { type: "button", onclick: () => this.select(one.line) }, words);
  }

  /** The line itself, and a mark below the place. @param {any} one */
  excerpt(one) {
    const text = !one.file || one.file === "study" ? this.text.value : this.files[one.file];
    const line = one.line && text ? text.split("\n")[one.line - 1] : "";
    if (!line) return null;
    const mark = Math.max(0, (one.column || 1) - 1);
    const from = Math.max(0, mark - 60);
    return el("pre", {}, `${line.slice(from, from + 120)}\n${" ".repeat(mark - from)}^`);
  }

  /** @param {number} line */
  select(line) {
    const lines = this.text.value.split("\n");
    const from = lines.slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0);
    this.text.focus();
    this.text.setSelectionRange(from, from + (lines[line - 1] || "").length);
    this.text.scrollTop = Math.max(0, (line - 6) * this.text.scrollHeight / lines.length);
  }
}

/** @param {any} asked */
function outline(asked) {
  const wanted = asked.objectives.map((one) => `${one.name} ${one.highest ? "highest" : "lowest"}`).join(", ");
  const budget = [asked.time ? time(asked.time) : "", asked.designs ? `${count(asked.designs)} designs` : ""].filter(Boolean).join(", ");
  return el("p", { class: "note" }, `${asked.name} can be searched: ${asked.variables.length} variables; ${wanted}; ${asked.limits.length} limits; `
    + `gaits ${asked.gaits.join(", ")}; it asks for ${budget || "no time and no number of designs, so say one above"}.`);
}
