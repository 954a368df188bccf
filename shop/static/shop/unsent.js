/* Clockings pressed while the line is down: kept on the tablet, shown, and sent in their order later. */
const SHELF = "trenail-unsent";
const forms = document.querySelectorAll("form.clocking");
const note = document.querySelector("[data-unsent]");

const kept = () => JSON.parse(localStorage.getItem(SHELF) || "[]");
const keep = (all) => localStorage.setItem(SHELF, JSON.stringify(all));

function show(sentence = "") {
  const count = kept().length;
  note.hidden = count === 0;
  const words = `${count} clocking${count === 1 ? "" : "s"} not sent.`;
  note.querySelector("span").textContent = sentence ? `${words} ${sentence}` : words;
  note.querySelector("[data-drop]").hidden = !sentence;
}

async function send(one) {
  const { path, ...body } = one;
  return fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": note.dataset.token },
    body: JSON.stringify(body),
  });
}

async function sendAll() {
  let sent = 0;
  for (let all = kept(); all.length; all = kept()) {
    let answer;
    try {
      answer = await send(all[0]);
    } catch {
      return show();
    }
    if (!answer.ok) {
      const problem = await answer.json().catch(() => ({}));
      return show(problem.detail || "Sign in again, then send them.");
    }
    keep(all.slice(1));
    sent += 1;
  }
  show();
  if (sent) location.reload();
}

function written(form, button) {
  const fields = new FormData(form);
  const path = form.dataset.api + (button.dataset.act === "start" ? "start/" : "finish/");
  const one = { path, at: new Date().toISOString(), key: fields.get("key") };
  if (fields.get("hand")) one.hand = Number(fields.get("hand"));
  if (button.dataset.act === "start") return one;
  const all = button.dataset.act === "done" ? Number(form.dataset.left) : 0;
  return { ...one, pieces: fields.get("pieces") ? Number(fields.get("pieces")) : all };
}

function setAside(form, button) {
  keep([...kept(), written(form, button)]);
  const isStart = button.dataset.act === "start";
  for (const other of form.querySelectorAll("[data-act]")) {
    other.disabled = isStart ? other.dataset.act === "start" : true;
  }
  show();
}

/* One press is one clocking: a second one rests while the first is on its way. */
let isOnItsWay = false;
addEventListener("pageshow", () => { isOnItsWay = false; });

async function press(event) {
  event.preventDefault();
  const form = event.currentTarget;
  const button = event.submitter;
  if (isOnItsWay) return undefined;
  if (kept().length) return setAside(form, button);
  isOnItsWay = true;
  try {
    const answer = await fetch(button.formAction, { method: "POST", body: new FormData(form) });
    location.assign(answer.url);
  } catch {
    isOnItsWay = false;
    setAside(form, button);
  }
  return undefined;
}

for (const form of forms) form.addEventListener("submit", press);

note?.querySelector("[data-send]").addEventListener("click", sendAll);
note?.querySelector("[data-drop]").addEventListener("click", () => {
  keep(kept().slice(1));
  show();
  if (!kept().length) location.reload();
});
addEventListener("online", sendAll);
if (note) {
  show();
  sendAll();
}
