"use strict";
// Sends each change as it is made, shows what follows from it, and loses nothing that was typed.
(() => {
  document.documentElement.classList.add("script");
  const body = document.body;
  const address = body.dataset.survey;
  const walk = document.getElementById("walk");
  if (walk && window.matchMedia("(min-width: 62rem)").matches) walk.open = true;
  if (!address) return;

  const status = document.getElementById("status");
  const conflict = document.getElementById("conflict");
  const store = `feasibility:pending:${address}`;
  const pending = new Map();
  let revision = body.dataset.revision;
  let sending = false;
  let timer = 0;
  let held = false;

  // What is told beside the text is for those who hear the page; who sees it has it before him.
  const say = (text, warn = false, beside = "") => {
    status.textContent = text;
    status.classList.toggle("warn", warn);
    if (!beside) return;
    const told = document.createElement("span");
    told.className = "hidden";
    told.textContent = ` ${beside}`;
    status.append(told);
  };

  const remember = () => {
    try {
      if (pending.size) localStorage.setItem(store, JSON.stringify([...pending.values()]));
      else localStorage.removeItem(store);
    } catch { /* a browser without storage still keeps it in this window */ }
  };

  const fieldOf = (element) => element.closest(".field[data-place]");

  const entryOf = (field) => {
    const radio = field.querySelector("input[type=radio]:checked");
    const tick = field.querySelector("input[type=checkbox]");
    const input = field.querySelector(".entry > input, .entry > select, .entry > textarea");
    return {
      place: field.dataset.place,
      text: input ? input.value : radio ? radio.value : "",
      unknown: Boolean(tick && tick.checked),
    };
  };

  const setEntry = (entry) => {
    const field = document.querySelector(`.field[data-place="${CSS.escape(entry.place)}"]`);
    if (!field) return;
    const radio = field.querySelector(`input[type=radio][value="${CSS.escape(entry.text)}"]`);
    const tick = field.querySelector("input[type=checkbox]");
    const input = field.querySelector(".entry > input, .entry > select, .entry > textarea");
    if (radio) radio.checked = true;
    if (input) input.value = entry.text;
    if (tick) tick.checked = entry.unknown;
  };

  const changed = (field, wait) => {
    const entry = entryOf(field);
    pending.set(entry.place, entry);
    remember();
    say("Saving…");
    window.clearTimeout(timer);
    timer = window.setTimeout(send, wait);
  };

  const showProblems = (problems) => {
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

  const showAnswer = (html) => {
    const answer = document.getElementById("answer");
    const opened = [...answer.querySelectorAll("details[data-keep][open]")].map((one) => one.dataset.keep);
    const focused = answer.contains(document.activeElement);
    answer.innerHTML = html;
    for (const one of answer.querySelectorAll("details[data-keep]")) {
      if (opened.includes(one.dataset.keep)) one.open = true;
    }
    if (focused) answer.focus();
    awaitHours();
  };

  // The hours of a year are studied behind the page; ask for them until they are there.
  let asking = 0;
  const awaitHours = () => {
    window.clearTimeout(asking);
    if (document.querySelector("[data-studying]")) asking = window.setTimeout(askHours, 500);
  };

  async function askHours() {
    try {
      const response = await fetch(`${address}/answer.json`);
      if (response.ok) {
        const now = await response.json();
        if (now.revision === revision && !pending.size && !sending) {
          showAnswer(now.answer);
          showBrief(now);
          return;
        }
      }
    } catch { /* asked again below */ }
    awaitHours();
  }

  const showBrief = (now) => {
    const brief = document.getElementById("brief");
    brief.textContent = now.headline;
    brief.dataset.verdict = now.verdict;
  };

  const take = (after, sent) => {
    revision = after.revision;
    for (const input of document.querySelectorAll("input[name=revision]")) input.value = revision;
    for (const entry of sent) {
      const now = pending.get(entry.place);
      if (now && now.text === entry.text && now.unknown === entry.unknown) pending.delete(entry.place);
    }
    remember();
    showAnswer(after.answer);
    showProblems(after.problems);
    showBrief(after);
    for (const one of document.querySelectorAll(".mark[data-key]")) {
      one.textContent = after.marks[one.dataset.key] || "";
    }
    const others = after.alsoChanged.length ? ` Changed by others meanwhile: ${after.alsoChanged.join(", ")}.` : "";
    if (pending.size) say("Saving…");
    else say(`Saved.${others}`, false, after.headline);
  };

  async function send() {
    if (sending || held || !pending.size) return;
    sending = true;
    const entries = [...pending.values()];
    try {
      const response = await fetch(`${address}/change`, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ revision, entries }),
      });
      if (response.ok) take(await response.json(), entries);
      else await refused(response);
    } catch {
      say("Not saved yet: no connection. It is kept here and sent again by itself.", true);
      timer = window.setTimeout(send, 2000);
      sending = false;
      return;
    }
    sending = false;
    if (pending.size && !held) timer = window.setTimeout(send, 50);
  }

  async function refused(response) {
    const type = response.headers.get("content-type") || "";
    const told = type.startsWith("application/json") ? await response.json() : {};
    if (response.status === 409 && told.places) {
      held = true;
      revision = told.revision;
      document.getElementById("conflict-places").textContent = told.places.join(", ") || "unknown";
      conflict.hidden = false;
      say("Not saved: changed elsewhere meanwhile.", true);
      document.getElementById("keep-mine").focus();
      return;
    }
    held = response.status !== 429 && response.status < 500;
    if (response.status === 401) say("Not saved yet: load the page again and give the pass phrase. It is kept here.", true);
    else say(`Not saved yet: ${told.message || response.statusText}`, true);
    if (!held) timer = window.setTimeout(send, 2000);
  }

  document.getElementById("keep-mine").addEventListener("click", () => {
    conflict.hidden = true;
    held = false;
    send();
  });
  document.getElementById("take-theirs").addEventListener("click", () => {
    pending.clear();
    remember();
    window.location.reload();
  });

  for (const form of document.querySelectorAll("form.live")) {
    form.addEventListener("input", (event) => {
      const field = fieldOf(event.target);
      if (!field) return;
      const tick = field.querySelector("input[type=checkbox]");
      const input = field.querySelector(".entry > input, .entry > select, .entry > textarea");
      if (event.target.type === "checkbox" && event.target.checked && input) input.value = "";
      else if (event.target === input && tick && input.value) tick.checked = false;
      const typing = event.target === input && input.tagName !== "SELECT";
      changed(field, typing ? 600 : 0);
    });
    form.addEventListener("change", (event) => {
      const field = fieldOf(event.target);
      if (field && pending.size) changed(field, 0);
    });
    form.addEventListener("click", (event) => {
      const button = event.target.closest("button[data-fill]");
      if (!button) return;
      const field = fieldOf(button);
      field.querySelector(".entry > input").value = button.dataset.fill;
      const tick = field.querySelector("input[type=checkbox]");
      if (tick) tick.checked = false;
      changed(field, 0);
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      window.clearTimeout(timer);
      send();
    });
  }

  const settled = async () => {
    window.clearTimeout(timer);
    const until = Date.now() + 4000;
    while (pending.size && !held && Date.now() < until) {
      if (sending) await new Promise((done) => window.setTimeout(done, 30));
      else await send();
    }
  };

  // A link to a field leads there even where it stands in a part that is folded away.
  const reveal = () => {
    const field = document.getElementById(window.location.hash.slice(1));
    if (!field || !field.matches(".field, .part")) return;
    for (let one = field.closest("details"); one; one = one.parentElement.closest("details")) one.open = true;
    field.scrollIntoView();
    const entry = field.querySelector("input, select, textarea");
    if (entry) entry.focus({ preventScroll: true });
  };
  window.addEventListener("hashchange", reveal);
  reveal();

  // What is still unsent goes first; whatever cannot be sent is kept for the next page.
  document.addEventListener("click", async (event) => {
    const link = event.target.closest("a[href]");
    if (link && link.dataset.slow) say(link.dataset.slow);
    if (!link || !pending.size || held || event.defaultPrevented || event.ctrlKey || event.metaKey) return;
    if (link.getAttribute("href").startsWith("#")) return;
    event.preventDefault();
    await settled();
    window.location.href = link.href;
  });
  document.addEventListener("submit", async (event) => {
    if (event.target.matches("form.live") || !pending.size || held) return;
    event.preventDefault();
    await settled();
    event.target.submit();
  });

  try {
    for (const entry of JSON.parse(localStorage.getItem(store) || "[]")) {
      setEntry(entry);
      pending.set(entry.place, entry);
    }
  } catch { /* nothing was kept */ }
  if (pending.size) send();
  awaitHours();
  if (document.querySelector("[data-again]")) window.setTimeout(() => window.location.reload(), 1500);
})();
