// Shows the total with the options that are ticked, as they are ticked; without it a button does.
const form = document.querySelector("[data-offer]");
const button = form?.querySelector("[data-offer-show]");

const show = async () => {
  const ticked = [...form.querySelectorAll("input[name=take]:checked")];
  const query = new URLSearchParams(ticked.map((box) => ["take", box.value]));
  const answer = await fetch(`?${query}`, { headers: { Accept: "text/html" } });
  if (!answer.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const part of ["total", "total-below"]) {
    document.getElementById(part).replaceWith(page.getElementById(part));
  }
};

if (button) {
  button.hidden = true;
  form.addEventListener("change", (event) => {
    if (event.target.name === "take") show().catch(() => (button.hidden = false));
  });
}
