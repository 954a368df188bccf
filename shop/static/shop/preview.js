// Shows what a form would do as one types; without it the form's Show button does the same.
const words = (line) => line.querySelector("summary").textContent;

const keepOpen = (old, fresh) => {
  const open = [...old.querySelectorAll("details[open]")];
  for (const line of fresh.querySelectorAll("details")) {
    const same = open.find((one) => words(one) === words(line));
    if (same) line.replaceWith(same);
  }
};

for (const form of document.querySelectorAll("form[data-preview]")) {
  let asked = 0, waiting;

  const show = async () => {
    const turn = ++asked;
    const data = new FormData(form);
    data.set("show", "1");
    const answer = await fetch(form.action, { method: "POST", body: data, headers: { Accept: "text/html" } });
    if (!answer.ok || answer.redirected || turn !== asked) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const id of form.dataset.preview.split(" ")) {
      const [fresh, old] = [page.getElementById(id), document.getElementById(id)];
      if (!fresh || !old || old.contains(document.activeElement)) continue;
      keepOpen(old, fresh);
      old.replaceChildren(...fresh.childNodes);
    }
  };

  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => show().catch(() => {}), 200);
  });
  form.querySelector("[data-show]")?.setAttribute("hidden", "");
}
