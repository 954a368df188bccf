// Fetches the fragment of a page into each element that names one; its link stays if that fails.
const fill = async (panel) => {
  panel.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(panel.dataset.panel, { headers: { Accept: "text/html" } });
    if (answer.ok && !answer.redirected) panel.innerHTML = await answer.text();
  } finally {
    panel.removeAttribute("aria-busy");
  }
};

for (const panel of document.querySelectorAll("[data-panel]")) fill(panel).catch(() => {});
