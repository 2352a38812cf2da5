// Reads and shows the fields of a form; a field is known by its place in the survey.

export const alike = (one, other) => one.text === other.text && one.unknown === other.unknown;
const inside = (place, around) => place === around || place.startsWith(`${around}[`) || place.startsWith(`${around}.`);
export const concerns = (entry, places) => places.some((one) => inside(entry.place, one) || inside(one, entry.place));

export const fieldOf = (element) => element.closest(".field[data-place]");

export const entryOf = (field) => {
  const radio = field.querySelector("input[type=radio]:checked");
  const tick = field.querySelector("input[type=checkbox]");
  const input = field.querySelector(".entry > input, .entry > select, .entry > textarea");
  return {
    place: field.dataset.place,
    text: input ? input.value : radio ? radio.value : "",
    unknown: Boolean(tick && tick.checked),
  };
};

export const setEntry = (entry) => {
  const field = document.querySelector(`.field[data-place="${CSS.escape(entry.place)}"]`);
  if (!field) return;
  const radio = field.querySelector(`input[type=radio][value="${CSS.escape(entry.text)}"]`);
  const tick = field.querySelector("input[type=checkbox]");
  const input = field.querySelector(".entry > input, .entry > select, .entry > textarea");
  if (radio) radio.checked = true;
  else if (!input && !entry.text) for (const one of field.querySelectorAll("input[type=radio]")) one.checked = false;
  if (input) input.value = entry.text;
  if (tick) tick.checked = entry.unknown;
};

export const wordsOf = (place, words = {}) => {
  const field = document.querySelector(`.field[data-place="${CSS.escape(place)}"]`);
  return field ? field.querySelector("label, legend").textContent.trim() : words[place] || place;
};

export const showProblems = (problems) => {
  for (const field of document.querySelectorAll(".field[data-place]")) {
    const place = field.dataset.place;
    const texts = Object.entries(problems)
      .filter(([where]) => where === place || where.startsWith(`${place}[`) || where.startsWith(`${place}.`))
      .flatMap(([, found]) => found);
    const shown = document.getElementById(`${field.id}-wrong`);
    const text = texts.map((one) => `✗ ${one}`).join(" ");
    if (shown && shown.textContent !== text) shown.textContent = text;
    field.classList.toggle("wrong", texts.length > 0);
    const input = field.querySelector(".entry > input, .entry > select, .entry > textarea");
    if (input) {
      if (texts.length) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  }
};

// A link to a field leads there even where it stands in a part that is folded away.
export const reveal = () => {
  const field = document.getElementById(window.location.hash.slice(1));
  if (!field || !field.matches(".field, .part")) return;
  for (let one = field.closest("details"); one; one = one.parentElement.closest("details")) one.open = true;
  field.scrollIntoView();
  const entry = field.querySelector("input, select, textarea");
  if (entry) entry.focus({ preventScroll: true });
};
