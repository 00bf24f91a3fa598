// The desk's one script: plays cuts of sound, sends answers without leaving the page, and makes everything work from the keyboard.
"use strict";
(() => {
  const $ = (what, from = document) => from.querySelector(what);
  const $$ = (what, from = document) => [...from.querySelectorAll(what)];
  const say = (text) => { const to = $("#announce"); to.textContent = ""; to.textContent = text; };
  const clock = (s) => `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, "0")}`;

  // --- sound ---
  const audio = $("#audio");
  const player = $("#player");
  let clip = null;

  function load(sound, from, to, start = true) {
    clip = { sound, from: Math.max(0, from), to: Math.max(to, from + 1) };
    if (clip.to - clip.from > 88) clip.to = clip.from + 88;
    audio.src = `/sound/${sound}?from=${clip.from.toFixed(2)}&to=${clip.to.toFixed(2)}`;
    audio.playbackRate = rate();
    player.hidden = false;
    document.body.classList.add("hearing");
    $("#player-where").textContent = `${clock(clip.from)} to ${clock(clip.to)}`;
    if (start) audio.play().catch(() => {});
  }
  const rate = () => Number(($("input[name=speed]:checked") || { value: 1 }).value);
  function toggle() { if (audio.paused) audio.play().catch(() => {}); else audio.pause(); }
  function mark() {
    player.classList.toggle("on", !audio.paused);
    $("#player-toggle").setAttribute("aria-label", audio.paused ? "Play" : "Stop");
    const key = clip ? `${clip.sound},` : "";
    $$("[data-clip].sounding").forEach((b) => b.classList.remove("sounding"));
    if (!audio.paused && clip) $$(`[data-clip^="${key}"]`).forEach((b) => { if (b.dataset.clip === clip.name) b.classList.add("sounding"); });
  }
  function hear(button) {
    const name = button.dataset.clip;
    if (clip && clip.name === name && !audio.paused) { audio.pause(); return; }
    const [sound, from, to] = name.split(",").map(Number);
    load(sound, from, to);
    clip.name = name;
    mark();
  }
  audio.addEventListener("play", mark);
  audio.addEventListener("pause", mark);
  audio.addEventListener("ended", mark);
  audio.addEventListener("loadedmetadata", () => { audio.playbackRate = rate(); });
  audio.addEventListener("error", () => { if (audio.getAttribute("src")) $("#player-where").textContent = "this cannot be heard"; });
  audio.addEventListener("timeupdate", () => {
    $("#player-bar").value = audio.duration ? audio.currentTime / audio.duration : 0;
    needle();
  });
  $("#player-toggle").addEventListener("click", toggle);
  function more(before, after) {
    if (!clip) return;
    const name = clip.name;
    load(clip.sound, clip.from - before, clip.to + after);
    clip.name = name;
  }
  $("#player-before").addEventListener("click", () => more(3, 0));
  $("#player-after").addEventListener("click", () => more(0, 3));
  $("#player-close").addEventListener("click", () => { audio.pause(); player.hidden = true; document.body.classList.remove("hearing"); clip = null; mark(); });
  $$("input[name=speed]").forEach((i) => i.addEventListener("change", () => { audio.playbackRate = rate(); }));

  // --- the picture ---
  function scale() {
    const svg = $(".timeline");
    if (!svg) return null;
    const d = svg.dataset;
    return { svg, left: +d.left, right: +d.right, wide: +d.wide, end: +d.end, sounds: d.offsets.split(",").map((p) => p.split(":").map(Number)) };
  }
  function needle() {
    const s = scale();
    if (!s || !clip || !s.sounds[clip.sound]) return;
    const at = s.sounds[clip.sound][0] + clip.from + audio.currentTime;
    const line = $(".needle", s.svg);
    const x = s.left + (at / s.end) * (s.right - s.left);
    line.removeAttribute("hidden");
    line.setAttribute("transform", `translate(${(x - s.left).toFixed(1)} 0)`);
  }
  document.addEventListener("click", (event) => {
    const ground = event.target.closest("[data-hear]");
    if (!ground) return;
    const s = scale();
    const box = s.svg.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * s.wide;
    const at = Math.max(0, ((x - s.left) / (s.right - s.left)) * s.end);
    let number = 0;
    s.sounds.forEach(([offset], n) => { if (offset <= at) number = n; });
    if (s.sounds.length && s.sounds[number][1]) load(number, at - s.sounds[number][0], at - s.sounds[number][0] + 12);
  });
  function roving() {
    const marks = $$(".timeline .mark");
    if (marks.length && !marks.some((m) => m.tabIndex === 0)) marks[0].setAttribute("tabindex", "0");
  }
  document.addEventListener("focusin", (event) => {
    const at = event.target.closest && event.target.closest(".timeline .mark");
    if (at) $("#mark-says").textContent = at.getAttribute("aria-label");
  });
  function step(at, by) {
    const marks = $$(".timeline .mark").map((m) => [m.getBoundingClientRect().left, m]).sort((a, b) => a[0] - b[0]).map((p) => p[1]);
    const next = marks[Math.min(Math.max(marks.indexOf(at) + by, 0), marks.length - 1)];
    at.setAttribute("tabindex", "-1");
    next.setAttribute("tabindex", "0");
    next.focus();
  }

  // --- answers, without leaving the page ---
  let busy = false;
  async function send(form, button) {
    const data = new URLSearchParams(new FormData(form, button));
    const action = (button && button.getAttribute("formaction")) || form.getAttribute("action");
    busy = true;
    document.body.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(action, { method: "POST", body: data, headers: { "content-type": "application/x-www-form-urlencoded" } });
      show(await answer.text(), { address: answer.url, ok: answer.ok, from: button });
    } catch {
      say("The desk does not answer. Is it still running in the terminal?");
      trouble("The desk does not answer. Your last answer was not kept. Is it still running in the terminal?");
    } finally {
      busy = false;
      document.body.removeAttribute("aria-busy");
    }
  }
  function trouble(text) {
    let box = $("#problem");
    if (!box) { box = document.createElement("div"); box.id = "problem"; box.className = "note-bad"; box.setAttribute("role", "alert"); $("#work").prepend(box); }
    box.textContent = text;
  }
  function show(html, { address = "", ok = true, from = null, quiet = false } = {}) {
    const page = new DOMParser().parseFromString(html, "text/html");
    if (!$("#work", page)) { trouble("The desk gave no page. Load this page again."); return; }
    const focused = document.activeElement && document.activeElement.id;
    const preview = kept();
    const y = window.scrollY;
    for (const part of ["#work", "#status", "#progress"]) $(part).replaceWith(document.adoptNode($(part, page)));
    document.title = page.title;
    document.body.dataset.number = page.body.dataset.number;
    ready();
    if (preview) pick(preview, true);
    if (quiet) { window.scrollTo(0, y); const back = focused && document.getElementById(focused); if (back) back.focus({ preventScroll: true }); return; }
    const url = address ? new URL(address) : null;
    if (ok && url && url.pathname + url.search !== location.pathname + location.search) history.pushState(null, "", url.pathname + url.search);
    const to = !ok ? $("#problem, #trouble") : url && url.hash ? document.getElementById(url.hash.slice(1)) : null;
    if (to) { if (!to.hasAttribute("tabindex")) to.setAttribute("tabindex", "-1"); to.focus({ preventScroll: true }); to.scrollIntoView({ block: ok ? "nearest" : "center" }); } else {
      window.scrollTo(0, y);
      const back = focused && document.getElementById(focused);
      (back || $("#work")).focus({ preventScroll: true });
    }
    say(!ok ? ($("#problem, #trouble") || { textContent: "That was not taken." }).textContent : $("#settled-count").textContent);
  }
  document.addEventListener("submit", (event) => {
    const form = event.target.closest("form[data-live]");
    if (!form || busy) { if (form) event.preventDefault(); return; }
    event.preventDefault();
    send(form, event.submitter);
  });
  window.addEventListener("popstate", () => again(location.href));
  async function go(address) {
    try { const answer = await fetch(address); show(await answer.text(), { address, ok: answer.ok }); } catch { location.href = address; }
  }
  async function again(address, quiet = false) {
    const answer = await fetch(address);
    const html = await answer.text();
    // Somebody may have begun to type, or given an answer, while this was on its way.
    if (!quiet || !(busy || typing())) show(html, { quiet, ok: answer.ok });
  }

  // --- what was changed elsewhere, and what has been worked out since ---
  function typing() {
    const form = $("#word-form");
    const at = document.activeElement;
    const field = at && /^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName) && at.id !== "paste-text" && at.type !== "radio" && at.type !== "checkbox";
    const begun = $$("#work input:not([type]), #work textarea:not([readonly])").some((f) => f.value !== f.defaultValue);
    return Boolean((form && !form.hidden) || field || begun || $$("#work input[type=checkbox]:checked").length);
  }
  async function look() {
    let wait = 2500;
    try {
      if (!busy && !document.hidden) {
        const state = await (await fetch("/state")).json();
        const files = $("#files-state");
        if (files && files.textContent !== state.files) files.textContent = state.files;
        document.body.dataset.written = state.written ? "1" : "0";
        if (!state.written) wait = 400;
        const picture = $("#picture");
        const peaks = picture && picture.dataset.waiting === "1" && state.peaks;
        if (!busy && (state.number > Number(document.body.dataset.number) || peaks) && !typing()) await again(location.href, true);
      }
    } catch { if ($("#files-state")) $("#files-state").textContent = "the desk does not answer; is it still running?"; }
    setTimeout(look, wait);
  }

  // --- previews ---
  const kept = () => { const on = $("[data-preview][aria-pressed=true]"); return on && on.dataset.preview !== "notes" ? on.dataset.preview : ""; };
  async function pick(name, silent = false) {
    $$("[data-preview]").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.preview === name)));
    const answer = await fetch(`/preview/${name}`);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const to = $("#preview");
    if (to) to.replaceChildren(...page.body.childNodes);
    if (!silent) say(`${name} shown`);
  }

  // --- the talk, word by word ---
  let words = null;
  function open(button) {
    const form = $("#word-form");
    close();
    words = { first: Number(button.dataset.word), last: Number(button.dataset.word) + 1 };
    button.closest("li").append(form);
    form.hidden = false;
    fill();
    $("#word-meant").focus();
    $("#word-meant").select();
  }
  const texts = () => $$(".w[data-word]").filter((w) => Number(w.dataset.word) >= words.first && Number(w.dataset.word) < words.last);
  function fill() {
    const form = $("#word-form");
    $$(".w.picked").forEach((w) => w.classList.remove("picked"));
    const said = texts().map((w) => { w.classList.add("picked"); return w.firstChild.textContent; }).join(" ");
    $("#word-heard").textContent = said;
    form.elements.first.value = words.first;
    form.elements.last.value = words.last;
    form.elements.meant.value = said;
    read(form.elements.meant);
  }
  function close() {
    const form = $("#word-form");
    if (!form || form.hidden) return;
    form.hidden = true;
    const back = words && $(`.w[data-word="${words.first}"]`);
    $$(".w.picked").forEach((w) => w.classList.remove("picked"));
    words = null;
    if (back) back.focus();
  }

  // --- how a typed size is read ---
  let asked = 0;
  let waiting = null;
  function read(field) {
    clearTimeout(waiting);
    waiting = setTimeout(async () => {
      const to = document.getElementById(field.getAttribute("aria-describedby"));
      const mine = ++asked;
      if (!to) return;
      if (!field.value.trim()) { to.textContent = ""; return; }
      try {
        const answer = await (await fetch(`/read?${new URLSearchParams({ text: field.value, finding: field.dataset.read })}`)).json();
        if (mine !== asked) return;
        to.textContent = answer.text;
        to.classList.toggle("no", !answer.ok);
      } catch { to.textContent = ""; }
    }, 120);
  }

  function measure(field) {
    const count = document.getElementById(field.id.replace("title-", "count-"));
    if (!count) return;
    const long = [...field.value].length;
    count.textContent = `${long} of ${field.dataset.limit}`;
    count.classList.toggle("over", long > Number(field.dataset.limit));
  }

  document.addEventListener("input", (event) => {
    const field = event.target;
    if (field.dataset.read !== undefined) read(field);
    if (field.dataset.limit) measure(field);
  });
  document.addEventListener("click", (event) => {
    const at = event.target;
    // The second tap of a double one would answer the next finding, which has come up under the finger.
    if (event.detail > 1 && at.closest(".choice")) { event.preventDefault(); return; }
    const play = at.closest("[data-clip]");
    if (play) { hear(play); return; }
    const tab = at.closest("[data-preview]");
    if (tab) { pick(tab.dataset.preview); return; }
    const turn = at.closest("a[data-finding], .turn a");
    if (turn && !event.ctrlKey && !event.metaKey && !event.shiftKey) { event.preventDefault(); go(turn.href); return; }
    const word = at.closest(".w[data-word]");
    if (word) { open(word); return; }
    if (at.closest("#word-cancel")) { close(); return; }
    if (at.closest("#word-more")) { if ($(`.w[data-word="${words.last}"]`)) { words.last += 1; fill(); } return; }
    const copy = at.closest("[data-copy]");
    if (copy) take(copy);
  });
  async function take(button) {
    const field = document.getElementById(button.dataset.copy);
    try { await navigator.clipboard.writeText(field.value); } catch { field.focus(); field.select(); document.execCommand("copy"); }
    const told = $(".copied", button.parentElement);
    if (told) told.textContent = "Copied";
    say("Copied");
  }

  // --- keys ---
  const keysOn = () => $("#keys-on").checked;
  try { $("#keys-on").checked = localStorage.getItem("desk-keys") !== "off"; } catch { /* nothing is kept */ }
  $("#keys-on").addEventListener("change", () => { try { localStorage.setItem("desk-keys", keysOn() ? "on" : "off"); } catch { /* nothing is kept */ } });
  let going = false;
  document.addEventListener("keydown", (event) => {
    const at = event.target;
    const onMark = at.closest && at.closest(".timeline .mark");
    if (onMark) {
      const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1, End: 1e6, Home: -1e6 }[event.key];
      if (by) { event.preventDefault(); step(onMark, by); return; }
      if (event.key === "Enter" || event.key === " ") { event.preventDefault(); if (onMark.dataset.clip) hear(onMark); return; }
    }
    if (event.key === "Escape") { if (words) close(); else if (!player.hidden) audio.pause(); return; }
    if (event.ctrlKey || event.metaKey || event.altKey || !keysOn()) return;
    if (/^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName) && !(at.type === "radio" && at.name === "speed")) return;
    const key = event.key.toLowerCase();
    if (going) {
      going = false;
      const to = { s: "/", g: "/glance", t: "/talk", l: "/lists", o: "/out" }[key];
      if (to) { location.href = to; event.preventDefault(); }
      return;
    }
    const press = (what) => { const b = $(what); if (b && !b.disabled) { event.preventDefault(); b.click(); } };
    if (key === "g") going = true;
    else if (key === "j") press("#next-finding");
    else if (key === "k") press("#previous-finding");
    else if (key === "u") press("#undo");
    else if (key === "b") press("#player-before");
    else if (key === "a") press("#player-after");
    else if (key === "?") { const keys = $("#keys"); event.preventDefault(); keys.open = !keys.open; if (keys.open) { $("summary", keys).focus(); keys.scrollIntoView({ block: "nearest" }); } }
    else if (key === "p") {
      // Another ticket has come up since: its own moment is meant, not the one played last.
      const own = $(".ticket .heard .play");
      if (clip && !player.hidden && (!own || $$(".ticket .play").some((b) => b.dataset.clip === clip.name))) { event.preventDefault(); if (audio.ended || audio.paused) audio.currentTime = audio.ended ? 0 : audio.currentTime; toggle(); } else press(own ? ".ticket .heard .play" : ".line .play, .play[data-clip]");
    }
    else if (key === "s") { event.preventDefault(); const slow = rate() < 1; $(`input[name=speed][value="${slow ? "1" : "0.5"}"]`).click(); }
    else if (key === "v") { const other = $("#other"); if (other) { event.preventDefault(); other.open = true; $("#value").focus(); } }
    else if (key === "n") { const note = $("#note"); if (note) { event.preventDefault(); note.focus(); } }
    else if (/^[1-9]$/.test(key)) { const choice = $$(".choices .choice")[Number(key) - 1]; if (choice) { event.preventDefault(); choice.click(); } }
  });

  function ready() {
    roving();
    $$("nav [aria-current]").forEach((a) => { const strip = a.closest("nav, ol"); if (strip && strip.scrollWidth > strip.clientWidth) strip.scrollLeft = a.offsetLeft - strip.clientWidth / 3; });
    $$("[data-limit]").forEach(measure);
    $$("[data-read]").forEach((field) => { if (field.value && field.offsetParent) read(field); });
  }
  ready();
  setTimeout(look, 400);
})();
