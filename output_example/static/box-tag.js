"use strict";
// Comforts over pages that are whole without them. All words come from the page; nothing leaves the device.
(() => {
  const script = document.currentScript;
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const put = (name, text = "", more = {}) => Object.assign(document.createElement(name), { textContent: text }, more);
  const top = new URL("../", script.src);

  // What is kept on this device; where it may keep nothing, for this page alone.
  const kept = (kind, key) => {
    let value;
    return {
      get: () => { try { return value ?? JSON.parse(window[kind].getItem(key)) ?? {}; } catch { return value ?? {}; } },
      set: (now) => { value = now; try { window[kind].setItem(key, JSON.stringify(now)); } catch { /* denied */ } },
    };
  };

  const load = (name) => new Promise((done, failed) => {
    document.head.append(put("script", "", { src: new URL(`static/${name}`, top).href, onload: done, onerror: failed }));
  });
  let asked;
  const names = () => (asked ??= load("names.js").then(() => self.firmripeNames));

  // The search itself comes when somebody means to use it.

  function find() {
    const kept = one("#finder"), way = one(".find");
    if (!kept || !way) return; // a household's own frame may have no place for it
    const box = kept.content.cloneNode(true).firstElementChild;
    const input = one("input", box);
    way.replaceWith(box);
    input.addEventListener("focus", () => names().then(() => load("find.js")), { once: true });
    box.addEventListener("toggle", () => { if (box.open) input.focus(); });
  }

  // Today, by the device's own clock

  const now = new Date();
  const today = [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => `${n}`.padStart(2, "0")).join("-");
  const said = now.toLocaleDateString(document.documentElement.lang, { weekday: "long", day: "numeric", month: "long" });
  const weekOf = (weeks) => weeks.findLast((first) => first <= today && new Date(today) - new Date(first) < 7 * 864e5);

  async function markToday(words) {
    const line = put("p", "", { className: "today" });
    const day = (text) => line.prepend(`${words.today} ${text}. `);
    const parts = all("[data-first]"), old = words.made < today;
    const now = parts.find((part) => part.dataset.first <= today && today <= part.dataset.last);
    // The front page of an older site ends before today: all it holds is over, and what lies between it can't tell.
    const span = now ?? (words.week && old ? parts.find((part) => part.dataset.last < today) : undefined);
    if (!now && words.week) {
      const first = weekOf((await names().catch(() => null))?.weeks ?? []);
      if (first) line.append(put("a", words.week, { href: new URL(`weeks/${first}.html`, top).href }));
      if (first || span) day(said);
    }
    if (!span) return line.childNodes.length ? line : null;
    const days = all(".day", span).map((day) => [day, one("time", day).dateTime]);
    const gone = days.filter(([, iso]) => iso < today).map(([day]) => day);
    const here = days.find(([, iso]) => iso === today)?.[0];
    if (here && one("h1", here)) return null; // it stands on top already
    if (here?.matches("details")) here.open = true;
    const asks = words.week && old;
    if (gone.length) { // opened at today; what is past stays at hand, and is asked about where nothing was noted since
      const folded = put("details", "", { className: "gone", open: Boolean(asks) });
      gone[0].before(folded);
      folded.append(put("summary", `${asks ? words.asked : words.gone} ${gone.length}`), ...gone);
      addEventListener("beforeprint", () => { folded.open = true; });
    }
    if (here) {
      here.id = "today";
      one("time", here).after(" ", put("strong", words.mark, { className: "mark" }));
      line.append(put("a", words.jump, { href: "#today" }));
    } else if (now) line.append(words.nothing);
    if (now) day(here ? one("time", here).textContent : said);
    if (asks) line.append(" ", put("strong", words.old, { className: "old" }));
    return line;
  }

  function markWeek(list) {
    const links = all("a[href*='weeks/']", list);
    const first = weekOf(links.map((link) => link.href.slice(-15, -5)));
    const link = links.find((other) => other.href.endsWith(`${first}.html`));
    if (!link) return;
    link.after(" ", put("strong", list.dataset.week, { className: "mark" }));
    link.scrollIntoView({ block: "nearest" });
  }

  function copyOf(line, words) {
    if (!navigator.clipboard) return;
    const button = put("button", words.copy, { type: "button", className: "copy" });
    button.addEventListener("click", () => navigator.clipboard.writeText(line.textContent).then(() => { button.textContent = words.copied; }, () => {}));
    line.after(button);
  }

  // Jobs: choose, tick

  function jobs(template) {
    const lines = all(".tasks > li");
    const words = template.dataset;
    const tools = template.content.cloneNode(true).firstElementChild;
    const selects = all("select", tools), state = one(".state", tools), every = one(".every", tools);
    const forget = one(".forget", tools), end = one(".end", tools);
    const choice = kept("localStorage", "firmripe choice"), ticks = kept("localStorage", "firmripe ticks");
    const ticked = lines.filter((line) => line.dataset.ticks); // a month is looked over, and ticked nowhere
    const boxes = ticked.map(tickOf);

    // A key holds for one build, so a choice is kept by its name.
    const nameOf = (select) => select.selectedOptions[0].textContent;

    const choose = () => {
      const wanted = selects.map((select) => [select.name, select.value.split(" ").filter(Boolean)]);
      choice.set(Object.fromEntries(selects.map((select) => [select.name, select.value && nameOf(select)])));
      let hidden = 0;
      for (const line of lines) {
        line.hidden = wanted.some(([name, keys]) => {
          const of = line.dataset[name]?.split(" ");
          return keys.length && of && !keys.some((key) => of.includes(key));
        });
        hidden += line.hidden;
      }
      for (const day of all(".day:not(:has(h1)), .going-on")) {
        const own = all(".tasks > li", day); // a day on which nothing is due says so, whoever asks
        day.hidden = own.length > 0 && own.every((line) => line.hidden);
      }
      const chosen = wanted.some(([, keys]) => keys.length);
      every.hidden = !chosen;
      state.textContent = chosen ? `${words.hidden} ${hidden}. ${words.shown} ${lines.length - hidden}. ${words.stay}` : "";
    };

    function tickOf(line) {
      const box = put("input", "", { type: "checkbox" });
      const label = put("label", "", { className: "tick" });
      const what = [one(".verb", line), ...all("a.code, .what", line)].map((part) => part.textContent.replace(/^: /, "")).join(", ");
      const when = one("h1 time, h2, h3, h4, summary b", line.closest("section, details")).textContent.trim();
      label.append(box, put("span", `${words.done}: ${what}; ${when}`, { className: "hidden" }));
      line.append(label);
      box.addEventListener("change", () => {
        const noted = ticks.get();
        for (const id of line.dataset.ticks.split(" ")) if (box.checked) noted[id] = today; else delete noted[id];
        ticks.set(noted);
        showTicks();
      });
      return box;
    }

    function showTicks() {
      const noted = ticks.get();
      ticked.forEach((line, at) => {
        const ids = line.dataset.ticks.split(" "), done = ids.filter((id) => noted[id]).length;
        boxes[at].checked = done === ids.length;
        boxes[at].indeterminate = done > 0 && done < ids.length;
      });
      forget.hidden = !Object.keys(noted).length;
    }

    const before = choice.get();
    if (before.who === undefined && script.dataset.preset) before.who = script.dataset.preset;
    for (const select of selects) {
      const meant = [...select.options].find((option) => option.value && option.textContent === before[select.name]);
      if (meant) select.value = meant.value;
      select.addEventListener("change", choose);
    }
    every.addEventListener("click", () => {
      for (const select of selects) select.value = "";
      choose();
      selects[0].focus();
    });
    forget.addEventListener("click", () => {
      ticks.set({});
      showTicks();
      state.textContent = words.forgotten;
      boxes.find((box) => box.offsetParent)?.focus();
    });
    markToday(words).then((line) => {
      if (!line) return;
      tools.prepend(line);
      if (one(".old", line)) one(".gone")?.before(tools); // what it says of today is not folded away with the past
    });
    if (lines.length) {
      showTicks();
      choose();
    } else tools.replaceChildren();
    for (const line of all(".line")) copyOf(line, words);
    template.after(tools);
    if (lines.length) one("main").append(end);
  }

  // The season opens two weeks before today, beside the names that stay in sight.
  function openSeason(box) {
    box.scrollLeft = box.dataset.at - one(".names", box).offsetWidth - 28;
  }

  // What a link leads to is opened.
  function openTarget() {
    const to = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const box = to && (one(":scope > details", to) ?? to.closest("details"));
    if (!box || box.open) return;
    box.open = true;
    to.scrollIntoView();
  }

  find();
  addEventListener("hashchange", openTarget);
  openTarget();
  if (one("#tools")) jobs(one("#tools"));
  if (one(".scroll[data-at]")) openSeason(one(".scroll[data-at]"));
  if (one(".months")) markWeek(one(".months"));
  const form = one("#noting");
  if (one("#kept")) load("notes.js").then(() => form && "more" in form.dataset && load("trees.js")).then(() => form && load("note.js"));
  if (script.dataset.worker && /^https?:$/.test(location.protocol) && navigator.serviceWorker) {
    navigator.serviceWorker.register(script.dataset.worker).catch(() => { /* the site is whole without it */ });
  }
})();
