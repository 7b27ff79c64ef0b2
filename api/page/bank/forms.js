// The small forms for figures. Each field may be left empty but those required.

import { $, button, row } from "./screen.js";

const number = "-?[0-9]+([.,][0-9]+)?";

const field = (name, label, more = {}) => ({ name, label, ...more });
const text = { text: true };

const forms = {
  reading: ["Water temperature", [field("temp_c", "Degrees C", { required: true }), field("depth_m", "At which depth, m")]],
  change: ["What is tied on now", [
    field("clip_distance_m", "Clip, m"), field("hook_length_cm", "Hook length, cm"), field("hook_bait", "Hook bait", text), field("capacity_ml", "Feeder, ml"),
  ]],
  top_up: ["Extra feed", [field("fills", "How many fills", { required: true }), field("fill_g", "Damp grams in each"), field("particles", "Particles in it", text)]],
  feed: ["What goes into the feeder from now on", [field("fill_g", "Damp grams a fill"), field("particles", "Particles in it", text)]],
  weigh: ["The last fish", [field("fish_g", "Grams"), field("group", "Kind", { choices: { silver: "silver fish", bream: "bream", carp: "carp" } })]],
};

export const asks = (act) => act in forms;

// ask opens a form and calls back with its figures: numbers, texts, and nothing
// for what was left empty.
export function ask(act, values, kept) {
  const [title, fields] = forms[act];
  const form = $("detail");
  const heading = document.createElement("h2");
  heading.textContent = title;
  const save = document.createElement("button");
  save.textContent = "Keep";
  form.replaceChildren(heading, ...fields.map((f) => labelled(f, values[f.name])), row(save, button("Leave it", () => close(act))));
  form.onsubmit = (submitted) => {
    submitted.preventDefault();
    const figures = read(form, fields);
    close(act);
    kept(figures);
  };
  form.onkeydown = (e) => { if (e.key === "Escape") close(act); };
  form.hidden = false;
  form.querySelector("input").focus();
}

function close(act) {
  $("detail").hidden = true;
  document.querySelector(`[data-act="${act}"]`)?.focus();
}

function labelled(f, value) {
  const label = document.createElement("label");
  const input = document.createElement(f.choices ? "select" : "input");
  if (f.choices) input.append(...Object.entries(f.choices).map(([v, word]) => new Option(word, v)));
  else Object.assign(input, { autocomplete: "off", inputMode: f.text ? "text" : "decimal", required: Boolean(f.required) });
  if (!f.text && !f.choices) Object.assign(input, { pattern: number, title: "a number" });
  input.name = f.name;
  input.value = value ?? "";
  label.append(f.label, " ", input);
  return label;
}

function read(form, fields) {
  const out = {};
  for (const f of fields) {
    const value = form.elements[f.name].value.trim();
    if (value !== "") out[f.name] = f.text || f.choices ? value : Number(value.replace(",", "."));
  }
  return out;
}
