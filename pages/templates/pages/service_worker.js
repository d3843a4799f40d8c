/** Keeps the page of a walk with its files on the phone, so that it opens without signal. The API is never kept here. */

const KEPT = "walk";
const FRAME = "{% url 'pages:walk' %}";
const FILES = [{% for file in files %}
  "{{ file }}",{% endfor %}
];
/** A name that holds what is in the file never changes. */
const LASTING = /\.[0-9a-f]{12}\.\w+$/;
const WAIT_MS = 4000;

addEventListener("install", (event) => {
  skipWaiting();
  event.waitUntil(Promise.all([
    caches.open(KEPT).then((kept) => kept.addAll(FILES)),
    newest(FRAME, FRAME),
  ]));
});

addEventListener("activate", (event) => event.waitUntil(clients.claim()));

addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) {
    return;
  }
  if (pathname === FRAME) {
    event.respondWith(newest(request, FRAME));
  } else if (FILES.includes(pathname)) {
    event.respondWith(LASTING.test(pathname) ? kept(request, pathname) : newest(request, pathname));
  }
});

async function kept(request, name) {
  return (await caches.match(name)) ?? newest(request, name);
}

/** What the service answers now, else what was kept of it; only a whole page is kept, never the way to the sign-in. */
async function newest(request, name) {
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(WAIT_MS) });
    if (answer.ok && !answer.redirected) {
      await (await caches.open(KEPT)).put(name, answer.clone());
    }
    return answer;
  } catch (why) {
    const before = await caches.match(name);
    if (before) {
      return before;
    }
    throw why;
  }
}
