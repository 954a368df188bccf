// Keeps the drawing beside the joint form fresh; without it the Show button does the same.
const form = document.querySelector("[data-joint-form]");

if (form) {
  let asked = 0;

  const show = async (parts) => {
    const turn = ++asked;
    const data = new FormData(form);
    data.set("show", "1");
    const answer = await fetch(location.href, { method: "POST", body: data, headers: { Accept: "text/html" } });
    if (!answer.ok || turn !== asked) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const id of parts) {
      const fresh = page.getElementById(id);
      const old = document.getElementById(id);
      if (fresh && old && !old.contains(document.activeElement)) old.replaceChildren(...fresh.childNodes);
    }
    for (const label of page.querySelectorAll("label[for^=id_part_]")) {
      const old = document.querySelector(`label[for="${label.htmlFor}"]`);
      if (old) old.replaceChildren(...label.childNodes);
    }
  };

  let waiting;
  form.addEventListener("input", (event) => {
    const parts = event.target.name.startsWith("dimensions/") ? ["drawing"] : ["drawing", "dimensions"];
    clearTimeout(waiting);
    waiting = setTimeout(() => show(parts).catch(() => {}), 250);
  });
  document.querySelector("[data-show]")?.setAttribute("hidden", "");
}
