// Fetches what a figure adds up from when it is opened; its link stays if that fails.
const unfold = async (line) => {
  const address = line.dataset.unfold;
  delete line.dataset.unfold;
  line.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(address, { headers: { Accept: "text/html" } });
    if (!answer.ok || answer.redirected) throw new Error(answer.status);
    const within = document.createRange().createContextualFragment(await answer.text());
    line.replaceChildren(line.querySelector("summary"), within);
  } catch {
    line.dataset.unfold = address;
  } finally {
    line.removeAttribute("aria-busy");
  }
};

document.addEventListener("toggle", (event) => {
  if (event.target.open && event.target.dataset?.unfold) unfold(event.target);
}, true);
