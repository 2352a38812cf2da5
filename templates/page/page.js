// Sends each change as it is made, shows what follows from it, and loses nothing that was typed.
import { alike, concerns, entryOf, fieldOf, reveal, setEntry, showProblems, wordsOf } from "./fields.js";

(() => {
  document.documentElement.classList.add("script");
  const body = document.body;
  const address = body.dataset.survey;
  const walk = document.getElementById("walk");
  if (walk && window.matchMedia("(min-width: 62rem)").matches) walk.open = true;
  // A button that is tapped twice does its work once.
  let isLeaving = false;
  document.addEventListener("submit", (event) => {
    if (event.target.matches("form.live")) return;
    if (isLeaving) event.preventDefault();
    isLeaving = true;
  });
  window.addEventListener("pageshow", () => { isLeaving = false; });
  if (!address) return;

  const status = document.getElementById("status");
  const conflict = document.getElementById("conflict");
  const store = `feasibility:unsent:${address}`;
  // What was typed and is not saved yet, each with the revision that stood there when it was typed.
  const pending = new Map();
  const isFromAnswer = Boolean(document.querySelector("[data-from-answer]"));
  const unanswered = new Map();
  let revision = body.dataset.revision;
  let taken = 0;
  let sending = false;
  let timer = 0;
  let held = false;
  let isCut = false;
  let known = null;

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

  // All windows of a browser share what is kept, so each puts in and takes out only its own.
  const inStore = () => {
    try { return JSON.parse(localStorage.getItem(store)) || {}; } catch { return {}; }
  };
  const storing = (change) => {
    const all = inStore();
    change(all);
    try {
      if (Object.keys(all).length) localStorage.setItem(store, JSON.stringify(all));
      else localStorage.removeItem(store);
    } catch { /* a browser without storage still keeps it in this window */ }
  };
  const keep = (entry) => {
    pending.set(entry.place, entry);
    storing((all) => { all[entry.place] = entry; });
    showAge();
  };
  const drop = (entry) => {
    const now = pending.get(entry.place);
    if (now && alike(now, entry)) pending.delete(entry.place);
    storing((all) => {
      if (all[entry.place] && alike(all[entry.place], entry)) delete all[entry.place];
    });
  };

  // No answer stands there as if it were one to what was typed since.
  const showAge = () => {
    const isOlder = pending.size > 0;
    document.getElementById("answer").classList.toggle("older", isOlder);
    document.getElementById("older").hidden = !isOlder;
    const brief = document.getElementById("brief");
    if (isOlder && !brief.classList.contains("older")) brief.textContent = "No answer yet to what was typed last";
    brief.classList.toggle("older", isOlder);
  };

  const changed = (field, wait) => {
    const entry = entryOf(field);
    const before = pending.get(entry.place);
    keep({ ...entry, revision: before ? before.revision : revision });
    if (conflict.hidden) held = false;
    say("Saving…");
    window.clearTimeout(timer);
    timer = window.setTimeout(send, wait);
  };

  const showAnswer = (html) => {
    const answer = document.getElementById("answer-now");
    const opened = [...answer.querySelectorAll("details[data-keep][open]")].map((one) => one.dataset.keep);
    const focused = answer.contains(document.activeElement);
    answer.innerHTML = html;
    for (const one of answer.querySelectorAll("details[data-keep]")) {
      if (opened.includes(one.dataset.keep)) one.open = true;
    }
    if (focused) document.getElementById("answer").focus();
    lookAgain();
  };

  // The hours of a year are studied behind the page, and others may change the survey: the page
  // asks for what stands there now, soon for the hours, now and then while it is looked at.
  let asking = 0;
  const isStudying = () => document.querySelector("[data-studying]") !== null;
  const lookAgain = (wait = isStudying() ? 500 : 8000) => {
    window.clearTimeout(asking);
    if (body.dataset.asks) asking = window.setTimeout(look, wait);
  };

  async function look() {
    if (pending.size || sending || document.hidden) return lookAgain(2000);
    const before = taken;
    try {
      const have = isStudying() ? "" : `?have=${revision}`;
      const response = await asked("answer.json" + have);
      // Gone, or behind the pass phrase again: what the page shows is nothing that stands there.
      if ([401, 404].includes(response.status)) return again();
      const now = response.status === 200 ? await response.json() : null;
      if (isCut) say("");
      isCut = false;
      if (now && taken === before && !pending.size && !sending) {
        const isOther = now.revision !== revision;
        if (isFromAnswer && (isOther || !now.answer.includes("data-studying"))) return again();
        adopt(now);
        if (isOther) say("Changed elsewhere meanwhile; this is what stands there now.", false, now.headline);
      }
    } catch {
      isCut = true;
      say("No connection. What you type is kept here meanwhile.", true);
      return lookAgain(4000);
    }
    lookAgain();
  }
  document.addEventListener("visibilitychange", () => { if (!document.hidden) lookAgain(0); });
  // A page that the browser kept as it was shows what may stand there no more.
  window.addEventListener("pageshow", (event) => { if (event.persisted) again(); });

  const within = (ms) => (AbortSignal.timeout ? AbortSignal.timeout(ms) : undefined);
  const asked = (what, change) => fetch(`${address}/${what}`, {
    ...change,
    headers: { Accept: "application/json", "Content-Type": "application/json" },
    signal: within(30000),
  });

  // Every field shows what stands in the file, but for the one that is being typed in.
  const showValues = (values) => {
    for (const field of document.querySelectorAll(".field[data-place]")) {
      const place = field.dataset.place;
      const value = values[place] || { text: "", unknown: false };
      const isChoice = field.querySelector("input[type=radio]") !== null;
      const text = isChoice && value.unknown ? "unknown" : value.text;
      const isTyped = field.contains(document.activeElement) && !isChoice;
      if (!pending.has(place) && !isTyped && !alike(entryOf(field), { text, unknown: value.unknown && !isChoice })) {
        setEntry({ place, text, unknown: value.unknown });
      }
    }
  };

  const listOf = (places, words) => places.map((one) => wordsOf(one, words)).join("; ");

  // The page shows another state from its start; what was sent to come here is not sent again.
  const again = () => {
    if (document.querySelector("[data-sent]")) window.location.assign(`${address}/first`);
    else window.location.reload();
  };

  const adopt = (now) => {
    taken += 1;
    revision = now.revision;
    // Another number of links is another form.
    if (now.counts !== body.dataset.counts) return again();
    for (const input of document.querySelectorAll("input[name=revision]")) input.value = revision;
    known = now.values;
    showValues(known);
    showAnswer(now.answer);
    showProblems(now.problems);
    showBrief(now);
    for (const one of document.querySelectorAll(".mark[data-key]")) {
      one.textContent = now.marks[one.dataset.key] || "";
    }
    showAge();
  };

  const showBrief = (now) => {
    const brief = document.getElementById("brief");
    brief.textContent = now.headline;
    brief.dataset.verdict = now.verdict;
    brief.classList.remove("older");
  };

  const take = (after, sent) => {
    for (const entry of sent) drop(entry);
    // What was typed on since then follows upon this, unless others changed the same place.
    for (const entry of [...pending.values()]) {
      if (entry.revision === sent[0].revision && !concerns(entry, after.alsoChanged)) keep({ ...entry, revision: after.revision });
    }
    if (isFromAnswer && !pending.size) return again();
    // The first answer about a cable makes the cable, on the form that asks for it already.
    if (!after.alsoChanged.length) body.dataset.counts = after.counts;
    adopt(after);
    const others = after.alsoChanged.length ? ` Changed by others meanwhile: ${listOf(after.alsoChanged, after.words)}.` : "";
    if (pending.size) say("Saving…");
    else say(`Saved.${others}`, false, after.headline);
  };

  async function send() {
    if (sending || held || !pending.size) return;
    sending = true;
    const from = pending.values().next().value.revision;
    const entries = [...pending.values()].filter((one) => one.revision === from);
    try {
      const response = await asked("change", { method: "POST", body: JSON.stringify({ revision: from, entries }) });
      if (response.ok) take(await response.json(), entries);
      else await refused(response, entries);
    } catch {
      for (const entry of entries) unanswered.set(entry.place, entry);
      say("Not saved yet: no connection. It is kept here and sent again by itself.", true);
      timer = window.setTimeout(send, 2000);
      sending = false;
      return;
    }
    sending = false;
    if (pending.size && !held) timer = window.setTimeout(send, 50);
  }

  // Shows what cannot be saved as it is; it is sent over what stands there only where that still fits.
  const stop = (entries, places, words, current = "") => {
    held = true;
    const stopped = entries.filter((one) => !places.length || concerns(one, places));
    conflict.dataset.revision = current;
    conflict.dataset.places = JSON.stringify(stopped.map((one) => one.place));
    document.getElementById("conflict-words").textContent = words;
    document.getElementById("conflict-typed").replaceChildren(...stopped.map((one) => {
      const line = document.createElement("li");
      line.textContent = `${wordsOf(one.place)}: ${one.text.slice(0, 300) || (one.unknown ? "not known yet" : "nothing")}`;
      return line;
    }));
    const mine = document.getElementById("keep-mine");
    mine.hidden = !current || places.some((place) => stopped.some((one) => one.place.startsWith(`${place}[`)));
    conflict.hidden = false;
    (mine.hidden ? document.getElementById("take-theirs") : mine).focus();
  };

  async function refused(response, entries) {
    const type = response.headers.get("content-type") || "";
    const told = type.startsWith("application/json") ? await response.json() : {};
    if (response.status === 409 && told.places) {
      // What stands there is what this page sent before the connection was lost: typed on since.
      const stopped = entries.filter((one) => concerns(one, told.places));
      const isOwn = (one) => unanswered.has(one.place) && told.values?.[one.place]?.text === unanswered.get(one.place).text;
      if (stopped.length && stopped.every(isOwn)) {
        for (const entry of stopped) {
          unanswered.delete(entry.place);
          keep({ ...pending.get(entry.place), revision: told.revision });
        }
        return;
      }
      say("Not saved: changed elsewhere meanwhile.", true);
      stop(entries, told.places, `Somebody else has changed the same places meanwhile: ${listOf(told.places, told.words) || "unknown"}. Nothing was overwritten.`, told.revision);
      return;
    }
    held = response.status !== 429 && response.status < 500;
    if (held && ![401, 413].includes(response.status)) stop(entries, [], `This cannot be saved: ${told.message || response.statusText}.`);
    if (response.status === 401) say("Not saved yet: load the page again and give the pass phrase. It is kept here.", true);
    else say(`Not saved yet: ${told.message || response.statusText}`, true);
    if (!held) timer = window.setTimeout(send, 2000);
  }

  document.getElementById("keep-mine").addEventListener("click", () => {
    const places = JSON.parse(conflict.dataset.places);
    for (const entry of [...pending.values()]) {
      if (places.includes(entry.place)) keep({ ...entry, revision: conflict.dataset.revision });
    }
    conflict.hidden = true;
    held = false;
    send();
  });
  document.getElementById("take-theirs").addEventListener("click", () => {
    const places = JSON.parse(conflict.dataset.places);
    for (const entry of [...pending.values()]) if (places.includes(entry.place)) drop(entry);
    again();
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
    form.addEventListener("focusout", () => window.setTimeout(() => known && showValues(known)));
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
      if (!sending) await send();
      if (pending.size) await new Promise((done) => window.setTimeout(done, 50));
    }
  };

  window.addEventListener("hashchange", reveal);
  reveal();

  // What is still unsent goes first; whatever cannot be sent is kept for the next page.
  document.addEventListener("click", async (event) => {
    const link = event.target.closest("a[href]");
    const isFile = link && link.closest(".take");
    if (link && link.dataset.slow) say(link.dataset.slow);
    if (!link || !pending.size || (held && !isFile) || event.defaultPrevented || event.ctrlKey || event.metaKey) return;
    if (link.getAttribute("href").startsWith("#")) return;
    event.preventDefault();
    await settled();
    if (isFile && pending.size) say("Not made: it would be without what was typed last, which is not saved yet.", true);
    else window.location.href = link.href;
  });
  document.addEventListener("submit", async (event) => {
    if (event.target.matches("form.live") || event.defaultPrevented) return;
    event.preventDefault();
    if (!held) await settled();
    try {
      // Without a connection the page with what was typed into it would be gone.
      await fetch("/static/icon.svg", { cache: "no-store", signal: within(10000) });
      event.target.submit();
    } catch {
      isLeaving = false;
      say("Not sent: no connection. Try again once it is back.", true);
    }
  });

  for (const entry of Object.values(inStore())) {
    setEntry(entry);
    pending.set(entry.place, entry);
  }
  showAge();
  if (pending.size) send();
  lookAgain();
  if (document.querySelector("[data-again]")) window.setTimeout(() => again(), 1500);
})();
