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
