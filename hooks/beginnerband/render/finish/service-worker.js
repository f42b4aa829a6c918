/* Keeps the handbook on the device. The build fills in the three values below.

   One cache a version. A version is installed whole or not at all: every file is checked against its hash, so a broken
   download, or one mixed from two versions while the site is being published, never becomes the handbook. What came
   over the line before a break stays for the next try; files that did not change are taken from the version before.
   What is said to be saved is counted in the cache, each time: a device short of room throws files away, and they are
   fetched again at the next chance. A device that saves data keeps what is opened, and the rest when asked for. */
"use strict";

const VERSION = "{{VERSION}}";
const KEPT = "{{KEPT}}"; // path: hash, saved when the worker is installed
const ON_DEMAND = "{{ON_DEMAND}}"; // path: hash, saved when somebody opens it or asks for it

const SCOPE = new URL("./", self.location).href;
const FAMILY = `handbook ${new URL(SCOPE).pathname} `;
const NAME = FAMILY + VERSION;
const WHOLE = new URL("whole-version", SCOPE).href; // an entry that says: this cache is complete
const AT_ONCE = 6;

const address = (path) => new URL(path.split("/").map(encodeURIComponent).join("/"), SCOPE).href;

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => event.waitUntil(reply(event)));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && request.url.startsWith(SCOPE)) event.respondWith(answer(event));
});

const savesData = () => Boolean(self.navigator.connection?.saveData);

async function install() {
  const others = await otherVersions();
  if (savesData()) {
    if (others.some((other) => other.whole)) throw new Error("a new version waits until data may be used");
    return;
  }
  const cache = await caches.open(NAME);
  try {
    await tell({ saving: 0, of: Object.keys(KEPT).length });
    await save(cache, KEPT, others);
    for (const [path, hash] of Object.entries(ON_DEMAND)) await carryOver(cache, path, hash, others).catch(() => false);
    await cache.put(WHOLE, new Response(VERSION));
  } catch (error) {
    const full = error.name === "QuotaExceededError";
    if (full) await caches.delete(NAME); // give the room back; the version before goes on working
    await tell({ failed: full ? "full" : "broken" });
    throw error;
  }
  for (const other of others) if (!other.whole) await caches.delete(other.name);
  await tell({ installed: VERSION });
}

async function activate() {
  for (const other of await otherVersions()) if (other.whole) await caches.delete(other.name);
  await self.clients.claim();
  await tell({ active: VERSION });
}

async function otherVersions() {
  const names = (await caches.keys()).filter((name) => name.startsWith(FAMILY) && name !== NAME);
  return Promise.all(
    names.map(async (name) => {
      const cache = await caches.open(name);
      return { name, cache, whole: Boolean(await cache.match(WHOLE)) };
    }),
  );
}

async function save(cache, files, others) {
  const entries = Object.entries(files);
  let next = 0,
    done = 0,
    broken = false; // once one file fails, the others stop, and no progress is told after it
  async function work() {
    while (!broken && next < entries.length) {
      const [path, hash] = entries[next++];
      if (!(await has(cache, path, hash)) && !(await carryOver(cache, path, hash, others)))
        await cache.put(address(path), await download(path, hash));
      if (++done % 25 === 0 && !broken) await tell({ saving: done, of: entries.length });
    }
  }
  const stopAll = (error) => {
    broken = true;
    throw error;
  };
  await Promise.all(Array.from({ length: AT_ONCE }, () => work().catch(stopAll)));
}

async function has(cache, path, hash) {
  const found = await cache.match(address(path));
  return Boolean(found) && found.headers.get("content-hash") === hash;
}

async function carryOver(cache, path, hash, others) {
  for (const other of others) {
    const found = await other.cache.match(address(path));
    if (found && found.headers.get("content-hash") === hash) {
      await cache.put(address(path), found);
      return true;
    }
  }
  return false;
}

async function download(path, hash) {
  for (const mode of ["no-cache", "reload"]) {
    const response = await fetch(address(path), { cache: mode, credentials: "same-origin" });
    if (!response.ok) throw new Error(`${path}: ${response.status}`);
    const body = await response.arrayBuffer();
    if ((await hashOf(body)) === hash) return kept(body, hash, response);
  }
  throw new Error(`${path}: not the file that this version was made with`);
}

function kept(body, hash, response) {
  // A fresh response: one that came by way of a redirect could not be given to a page.
  const type = response.headers.get("content-type") || "application/octet-stream";
  return new Response(body, { headers: { "content-type": type, "content-hash": hash } });
}

async function hashOf(body) {
  const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", body));
  return Array.from(bytes.subarray(0, 16), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The path of the file an address stands for, also where a host leaves out index.html or .html. */
function pathOf(url) {
  const path = decodeURIComponent(url.slice(SCOPE.length).replace(/[?#].*$/s, ""));
  if (path === "" || path.endsWith("/")) return `${path}index.html`;
  return path in KEPT || path in ON_DEMAND || !(`${path}.html` in KEPT) ? path : `${path}.html`;
}

async function answer(event) {
  const { request } = event;
  const path = pathOf(request.url);
  const found = await caches.match(address(path), { cacheName: NAME });
  if (found) return found;
  try {
    const response = await fetch(request);
    const hash = KEPT[path] || ON_DEMAND[path];
    if (hash && response.ok && response.status === 200) event.waitUntil(keep(path, hash, response.clone()));
    return response;
  } catch (error) {
    if (request.mode !== "navigate") throw error;
    return notHere(path in ON_DEMAND || path in KEPT);
  }
}

async function keep(path, hash, response) {
  try {
    const body = await response.arrayBuffer();
    if ((await hashOf(body)) === hash) await (await caches.open(NAME)).put(address(path), kept(body, hash, response));
  } catch {
    // No room, or the line broke: the file was shown all the same.
  }
}

function notHere(known) {
  const said = known
    ? "This file is not saved on this device yet. Open it once where there is a signal; after that it works without."
    : "There is no such page in the handbook, or it is newer than the handbook saved on this device.";
  const html = `<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width,initial-scale=1"><title>Not saved here</title>
<style>body{font:1.1rem/1.5 system-ui,sans-serif;max-width:34rem;margin:3rem auto;padding:0 1rem;color-scheme:light dark}
a{display:inline-block;padding:.7rem 0}</style>
<h1>Not saved here</h1><p>${said}</p><p><a href="${SCOPE}index.html">Open the handbook</a></p></html>`;
  return new Response(html, { status: known ? 503 : 404, headers: { "content-type": "text/html; charset=utf-8" } });
}

async function tell(message) {
  for (const client of await self.clients.matchAll({ includeUncontrolled: true, type: "window" }))
    client.postMessage({ handbook: message });
}

async function reply(event) {
  const ask = event.data?.handbook;
  if (ask === "use-now") await self.skipWaiting();
  if (ask === "state") await mend(event.source);
  if (ask === "save-all") await fetchAll(event.source, KEPT);
  if (ask === "save-rest") await fetchAll(event.source, ON_DEMAND);
}

/** Says what is saved, and fetches what should be and is not.
 * @param {Client} asker */
async function mend(asker) {
  const now = await state();
  asker.postMessage({ handbook: { state: now } });
  if (now.filesSaved < now.files && !now.savesData) await fetchAll(asker, KEPT);
}

/** @type {Promise<void> | undefined} */
let fetching; // one at a time, however many pages ask

/** @param {Client} asker
 * @param {Record<string, string>} files */
async function fetchAll(asker, files) {
  if (fetching) return fetching;
  fetching = fetchNow(asker, files).finally(() => {
    fetching = undefined;
  });
  return fetching;
}

async function fetchNow(asker, files) {
  const cache = await caches.open(NAME);
  let failed;
  try {
    await save(cache, files, []);
    if (files === KEPT) await cache.put(WHOLE, new Response(VERSION));
  } catch (error) {
    failed = error.name === "QuotaExceededError" ? "full" : "broken";
  }
  asker.postMessage({ handbook: { state: await state(), failed } });
}

async function state() {
  const cache = await caches.open(NAME);
  const saved = new Set((await cache.keys()).map((request) => request.url));
  const here = (files) => Object.keys(files).filter((path) => saved.has(address(path)));
  const pages = (paths) => paths.filter((path) => path.endsWith(".html")).length;
  return {
    version: VERSION,
    files: Object.keys(KEPT).length,
    filesSaved: here(KEPT).length,
    pages: pages(Object.keys(KEPT)),
    pagesSaved: pages(here(KEPT)),
    rest: Object.keys(ON_DEMAND).length,
    restSaved: here(ON_DEMAND).length,
    savesData: savesData(),
  };
}
