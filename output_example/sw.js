const SITE = {"version": "a61d273814c7d0ea", "files": ["cultivars/anjou.html", "cultivars/bartlett.html", "cultivars/bluecrop.html", "cultivars/bosc.html", "cultivars/brown-turkey.html", "cultivars/comice.html", "cultivars/golden-delicious.html", "cultivars/hosui.html", "cultivars/jonathan.html", "cultivars/kieffer.html", "cultivars/mcintosh.html", "cultivars/montmorency.html", "cultivars/red-delicious.html", "cultivars/seckel.html", "cultivars/stanley.html", "cultivars/stile-blue.html", "cultivars/twentieth-century.html", "cultivars/unknown-european-pear.html", "cultivars/unknown-quince.html", "dates.html", "fruits/apple.html", "fruits/asian-pear.html", "fruits/blueberry.html", "fruits/european-pear.html", "fruits/european-plum.html", "fruits/fig.html", "fruits/quince.html", "fruits/tart-cherry.html", "harvest.html", "hindcast.html", "index.html", "jobs.html", "jobs/bag-fruit.html", "jobs/bring-what-is-wanted.html", "jobs/buy-for-the-kitchen.html", "jobs/canning-day.html", "jobs/carry-fig-in.html", "jobs/carry-fig-out.html", "jobs/check-canner.html", "jobs/check-dried-fruit.html", "jobs/check-jars-on-shelf.html", "jobs/check-ladder.html", "jobs/check-tree-tags.html", "jobs/check-water.html", "jobs/clean-up-leaves.html", "jobs/clear-grass.html", "jobs/clear-windfalls.html", "jobs/collect-scions.html", "jobs/count-lids-for-the-kitchen.html", "jobs/count-the-freezer.html", "jobs/cut-out-cankers.html", "jobs/dormant-oil.html", "jobs/eat-first.html", "jobs/estimate-the-crop.html", "jobs/get-ready-to-pick.html", "jobs/graft.html", "jobs/green-tip-copper.html", "jobs/hand-over-august.html", "jobs/into-the-cold.html", "jobs/keep-until.html", "jobs/let-bees-work.html", "jobs/look-at-seeds.html", "jobs/look-at-the-set.html", "jobs/look-for-borers.html", "jobs/look-for-pests.html", "jobs/look-for-strikes.html", "jobs/make-room-in-the-freezer.html", "jobs/measure-shoots.html", "jobs/measure-the-cold.html", "jobs/mellow-quinces.html", "jobs/mind-the-wasps.html", "jobs/neck-test.html", "jobs/net-against-birds.html", "jobs/note-full-bloom.html", "jobs/note-sprays.html", "jobs/pick-by.html", "jobs/pick-cherries-with-stems.html", "jobs/pick-figs.html", "jobs/pick-up-drops.html", "jobs/pick.html", "jobs/plan-the-wants.html", "jobs/prune-apples-and-pears.html", "jobs/prune-blueberries.html", "jobs/prune-stone-fruit.html", "jobs/pull-back-mulch.html", "jobs/put-away-what-was-canned.html", "jobs/ready.html", "jobs/rebuild-after-bloom.html", "jobs/saturday-table.html", "jobs/save-ahead-of-frost.html", "jobs/seal-check.html", "jobs/set-buds.html", "jobs/set-codling-moth-traps.html", "jobs/set-props.html", "jobs/sharpen-tools.html", "jobs/sort-at-intake.html", "jobs/start-checking.html", "jobs/start-watering.html", "jobs/store-check.html", "jobs/summer-prune.html", "jobs/sweep-store.html", "jobs/take-off-mummies.html", "jobs/take-off-nets.html", "jobs/take-out-for-a-day.html", "jobs/take-out-for-the-kitchen.html", "jobs/take-out.html", "jobs/test-firmness.html", "jobs/test-starch.html", "jobs/test-winter-pears.html", "jobs/thin-apples.html", "jobs/thin-asian-pears.html", "jobs/thin-pears.html", "jobs/thin-stone-fruit.html", "jobs/try-two-pears.html", "jobs/update-plan-in-spring.html", "jobs/use-by.html", "jobs/wash-crates.html", "jobs/watch-bartlett-nights.html", "jobs/watch-brown-rot.html", "jobs/watch-fire-blight.html", "jobs/watch-frost-in-bloom.html", "jobs/watch-scab.html", "jobs/watch-second-drop.html", "jobs/weigh-the-pick.html", "jobs/write-labels.html", "jobs/write-up-the-year.html", "jobs/write-verdicts.html", "kitchen.html", "kitchen/upper-kitchen-2027-09-11.html", "kitchen/upper-kitchen-2027-09-25.html", "kitchen/upper-kitchen-2027-10-30.html", "months/2027-01.html", "months/2027-02.html", "months/2027-03.html", "months/2027-04.html", "months/2027-05.html", "months/2027-06.html", "months/2027-07.html", "months/2027-08.html", "months/2027-09.html", "months/2027-10.html", "months/2027-11.html", "months/2027-12.html", "months/2028-01.html", "months/2028-02.html", "months/2028-03.html", "months/2028-04.html", "note.html", "preserves/applesauce.html", "preserves/asian-pears-jars.html", "preserves/kieffer-butter.html", "preserves/pear-halves.html", "preserves/pear-jam.html", "preserves/pears-dried.html", "preserves/plums-jars.html", "review.html", "rooms.html", "safety.html", "sheets/fridge-large.html", "sheets/fridge.html", "sheets/index.html", "sheets/labels.html", "sheets/picking.html", "sheets/record.html", "sheets/stove-applesauce-in-jars-quart-upper-kitchen.html", "sheets/stove-applesauce-in-jars-quart-upper-kitchen.txt", "sheets/stove-applesauce-in-jars-quart-village-kitchen.html", "sheets/stove-applesauce-in-jars-quart-village-kitchen.txt", "sheets/stove-asian-pears-in-jars-pint-upper-kitchen.html", "sheets/stove-asian-pears-in-jars-pint-upper-kitchen.txt", "sheets/stove-asian-pears-in-jars-pint-village-kitchen.html", "sheets/stove-asian-pears-in-jars-pint-village-kitchen.txt", "sheets/stove-pear-halves-in-jars-quart-upper-kitchen.html", "sheets/stove-pear-halves-in-jars-quart-upper-kitchen.txt", "sheets/stove-pear-halves-in-jars-quart-village-kitchen.html", "sheets/stove-pear-halves-in-jars-quart-village-kitchen.txt", "sheets/stove-plums-in-jars-pint-upper-kitchen.html", "sheets/stove-plums-in-jars-pint-upper-kitchen.txt", "sheets/stove-plums-in-jars-pint-village-kitchen.html", "sheets/stove-plums-in-jars-pint-village-kitchen.txt", "sheets/supplies.html", "sheets/tags.html", "sheets/week.txt", "sheets/year.html", "since.html", "sources.html", "stand.html", "static/box-tag.css", "static/box-tag.js", "static/drawing.css", "static/find.js", "static/fonts/atkinson-next.woff2", "static/fonts/besley-800.woff2", "static/fonts/ofl-atkinson-next.txt", "static/fonts/ofl-besley.txt", "static/kitchen.css", "static/names.js", "static/note.css", "static/note.js", "static/notes.js", "static/orchard.css", "static/review.css", "static/sheets.css", "static/store.css", "static/subscribe.css", "store.html", "subscribe.html", "tests.html", "trees.html", "trees/1-01.html", "trees/1-02.html", "trees/1-03.html", "trees/1-04.html", "trees/1-05.html", "trees/1-06.html", "trees/1-07.html", "trees/2-01.html", "trees/2-02.html", "trees/2-03.html", "trees/3-01.html", "trees/3-02.html", "trees/3-03.html", "trees/3-04.html", "trees/4-01.html", "trees/4-02.html", "trees/4-03.html", "trees/4-04.html", "trees/b-01.html", "trees/g-01.html", "trees/t-01.html", "weeks/2027-01-11.html", "weeks/2027-01-25.html", "weeks/2027-02-08.html", "weeks/2027-02-15.html", "weeks/2027-02-22.html", "weeks/2027-03-01.html", "weeks/2027-03-08.html", "weeks/2027-03-15.html", "weeks/2027-03-22.html", "weeks/2027-03-29.html", "weeks/2027-04-05.html", "weeks/2027-04-12.html", "weeks/2027-04-19.html", "weeks/2027-04-26.html", "weeks/2027-05-03.html", "weeks/2027-05-10.html", "weeks/2027-05-17.html", "weeks/2027-05-24.html", "weeks/2027-05-31.html", "weeks/2027-06-07.html", "weeks/2027-06-14.html", "weeks/2027-06-21.html", "weeks/2027-06-28.html", "weeks/2027-07-05.html", "weeks/2027-07-12.html", "weeks/2027-07-19.html", "weeks/2027-07-26.html", "weeks/2027-08-02.html", "weeks/2027-08-09.html", "weeks/2027-08-16.html", "weeks/2027-08-23.html", "weeks/2027-08-30.html", "weeks/2027-09-06.html", "weeks/2027-09-13.html", "weeks/2027-09-20.html", "weeks/2027-09-27.html", "weeks/2027-10-04.html", "weeks/2027-10-11.html", "weeks/2027-10-18.html", "weeks/2027-10-25.html", "weeks/2027-11-01.html", "weeks/2027-11-08.html", "weeks/2027-11-15.html", "weeks/2027-11-22.html", "weeks/2027-11-29.html", "weeks/2027-12-06.html", "weeks/2027-12-13.html", "weeks/2027-12-20.html", "weeks/2027-12-27.html", "weeks/2028-01-03.html", "weeks/2028-01-10.html", "weeks/2028-01-17.html", "weeks/2028-01-24.html", "weeks/2028-01-31.html", "weeks/2028-02-07.html", "weeks/2028-02-14.html", "weeks/2028-02-21.html", "weeks/2028-02-28.html", "weeks/2028-03-06.html", "weeks/2028-03-13.html", "weeks/2028-03-20.html", "weeks/2028-04-03.html", "weeks/2028-04-10.html", "year.html"]};
"use strict";
// Keeps the whole site for when there is no signal. SITE, put before this by the build, holds its version and files.

const OURS = `pages of ${self.registration.scope} `;
const CACHE = OURS + SITE.version;
const PATIENCE_MS = 2500;
const LANES = 8;

self.addEventListener("install", (event) => event.waitUntil(keepAll().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(dropFormer().then(() => self.clients.claim())));
self.addEventListener("fetch", (event) => {
  const name = nameOf(event.request);
  if (!SITE.files.includes(name)) return; // calendar feeds, tables and all else: the network's own affair
  event.respondWith(name.endsWith(".html") ? freshest(event, name) : nearest(event, name));
});

// The file of the site that is asked for; nothing for what isn't one.
function nameOf(request) {
  if (request.method !== "GET") return "";
  const address = request.url.replace(/[?#].*$/, "");
  if (!address.startsWith(self.registration.scope)) return "";
  const name = decoded(address.slice(self.registration.scope.length));
  return name === "" || name.endsWith("/") ? `${name}index.html` : name;
}

// A household's own files may be called anything: signs that mean something in an address are written otherwise there.
function decoded(path) {
  try {
    return decodeURIComponent(path);
  } catch {
    return path;
  }
}

const addressOf = (name) => self.registration.scope + name.split("/").map(encodeURIComponent).join("/");

// A few at a time, each once more where it fails: thousands at once are more than a browser or a small host takes.
async function keepAll() {
  const cache = await caches.open(CACHE);
  const left = [...SITE.files];
  const lane = async () => {
    for (let name = left.pop(); name !== undefined; name = left.pop()) {
      await fetched(cache, name).catch(() => fetched(cache, name));
    }
  };
  await Promise.all(Array.from({ length: LANES }, lane));
}

async function fetched(cache, name) {
  const answer = await fetch(addressOf(name), { cache: "no-cache" });
  if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
  await keep(cache, name, answer);
}

// A page that came by a detour can't be shown from the cache, so what it holds is kept under its own address.
async function keep(cache, name, answer) {
  const plain = answer.redirected ? new Response(await answer.blob(), { headers: answer.headers }) : answer;
  await cache.put(addressOf(name), plain);
}

async function dropFormer() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(OURS) && name !== CACHE).map((name) => caches.delete(name)));
}

async function ask(cache, request, name) {
  const answer = await fetch(request);
  if (answer.ok) await keep(cache, name, answer.clone());
  return answer;
}

// Pages: the network's if it answers soon, since dates move; otherwise what is kept.
async function freshest(event, name) {
  const cache = await caches.open(CACHE);
  const asked = ask(cache, event.request, name);
  event.waitUntil(asked.catch(() => undefined));
  const kept = await cache.match(addressOf(name));
  if (!kept) return asked;
  const late = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS, null); });
  const soon = await Promise.race([asked.catch(() => null), late]);
  return soon && soon.status < 500 ? soon : kept;
}

// What pages are made of: what is kept, and the network's for the next time.
async function nearest(event, name) {
  const cache = await caches.open(CACHE);
  const asked = ask(cache, event.request, name);
  event.waitUntil(asked.catch(() => undefined));
  return (await cache.match(addressOf(name))) ?? asked;
}
