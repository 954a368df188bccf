/* Keeps the progress line of a job fresh, and opens the page anew at its end. */
const holder = document.querySelector("[data-line]");

async function look() {
  const answer = await fetch(holder.dataset.line, { headers: { Accept: "text/html" } });
  if (!answer.ok || answer.redirected) return setTimeout(look, 5000);
  if (answer.headers.get("Trenail-Job") === "finished") return location.reload();
  const fresh = await answer.text();
  if (fresh !== look.last) holder.innerHTML = look.last = fresh;
  return setTimeout(look, 1000);
}

if (holder) setTimeout(look, 1000);
