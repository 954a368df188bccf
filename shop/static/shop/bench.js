/* The bench, made quicker: minutes that run, and pieces counted by two buttons. */
const gauge = document.querySelector("[data-used-min]");
const shown = document.querySelector("[data-used]");
const LEFT = 2, RIGHT = 458;

function tick(began) {
  const used = Number(gauge.dataset.usedMin) + (Date.now() - began) / 60000;
  const standard = Number(gauge.dataset.standardMin);
  const longest = Math.max(used, standard, 1);
  const at = (minutes) => (LEFT + (RIGHT - LEFT) * minutes / longest).toFixed(1);
  const past = at(Math.min(used, standard));
  gauge.querySelector(".past").setAttribute("d", `M${LEFT} 9H${past}`);
  gauge.querySelector(".left").setAttribute("d", `M${past} 9H${RIGHT}`);
  gauge.querySelector(".over").setAttribute("d", used > standard ? `M${at(standard)} 9H${at(used)}` : "");
  gauge.querySelector(".at").setAttribute("d", `M${at(used)} -1V19`);
  shown.textContent = Math.round(used);
}

if (gauge) {
  const began = Date.now();
  setInterval(tick, 15000, began);
}

for (const stepper of document.querySelectorAll("[data-stepper]")) {
  const field = stepper.querySelector("input");
  for (const button of stepper.querySelectorAll("[data-step]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const wanted = Number(field.value || 0) + Number(button.dataset.step);
      field.value = Math.min(Math.max(wanted, Number(field.min)), Number(field.max));
    });
  }
}
