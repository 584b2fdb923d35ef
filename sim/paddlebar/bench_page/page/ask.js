// The questions of a craft of one's own: sends what was answered, shows what is wrong with it, goes on to the bench.
"use strict";
const token = new URLSearchParams(location.search).get("t") || "";
const page = Math.random().toString(36).slice(2, 10) + "0000";
const byId = (id) => document.getElementById(id);
let number = 0;

function answers() {
  const given = {};
  for (const field of byId("questions").elements) {
    if (field.name && field.value.trim() !== "") given[field.name] = field.value.trim();
  }
  return given;
}

async function send(path, message) {
  const body = JSON.stringify({ page, number: number++, ...message });
  const answer = await fetch(path, { method: "POST", headers: { "x-bench-token": token }, body });
  return answer.json();
}

// The sentence stands below the field that it names, else below them all; that field is marked for who does not see the colour.
function wrong(sentence) {
  const form = byId("questions"), told = byId("wrong");
  for (const field of form.elements) ["aria-invalid", "aria-describedby"].forEach((mark) => field.removeAttribute(mark));
  told.hidden = !sentence;
  told.textContent = sentence || "";
  const field = (sentence || "").split(/[: ]+/).map((word) => form.elements[word]).find((each) => each && each.name);
  if (!field) return void form.insertBefore(told, byId("go"));
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", "wrong");
  field.after(told);
}

// a beat that goes on tells the server that somebody is there
fetch("/alive", { method: "POST", headers: { "x-bench-token": token } }).catch(() => {});

byId("questions").addEventListener("change", async () => {
  const found = await send("/proposed", { answers: answers() });
  wrong(found.bad || found.refused);
  for (const [name, value] of Object.entries(found.proposed || {})) {
    const field = byId("questions").elements[name];
    if (field && field.tagName === "INPUT") field.placeholder = value;
  }
});

byId("questions").addEventListener("submit", async (event) => {
  event.preventDefault();
  wrong("");
  byId("go").disabled = true;
  byId("state").textContent = "flying craft: some seconds, half a minute where much has to be mended";
  try {
    const found = await send("/begin", { answers: answers() });
    if (found.begun) location.reload();
    else wrong(found.bad || found.refused || "no answer");
  } catch {
    wrong("the bench does not answer any more");
  }
  byId("go").disabled = false;
  byId("state").textContent = "";
});
