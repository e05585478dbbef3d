{% autoescape off %}// Opens the pages of the field without signal. Only what is the same for everybody is kept, all of one release together.

const { name: NAME, pages: PAGES, files: FILES } = {{ facts }};
const PATIENCE_MS = 3000; // a phone at the edge of a valley has signal that brings nothing

addEventListener("install", (event) => event.waitUntil(install()));
addEventListener("activate", (event) => event.waitUntil(activate()));
addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (FILES.includes(pathname)) {
    event.respondWith(kept(pathname).then((answer) => answer ?? fetch(request)));
    return;
  }
  const page = request.mode === "navigate" && PAGES.find(({ opens }) => new RegExp(opens).test(pathname));
  if (page) event.respondWith(opened(request, page.shell));
});

async function install() {
  const shell = await caches.open(NAME);
  await shell.addAll([...PAGES.map(({ shell: each }) => each), ...FILES].map((each) => new Request(each, { cache: "reload" })));
  await skipWaiting();
}

async function activate() {
  const names = await caches.keys();
  await Promise.all(names.filter((each) => each.startsWith("shell-") && each !== NAME).map((each) => caches.delete(each)));
  await clients.claim();
}

const kept = (address) => caches.match(address, { cacheName: NAME, ignoreVary: true });

async function opened(request, shell) {
  const asked = fetch(request).catch(() => null);
  const answer = await Promise.race([asked, new Promise((late) => setTimeout(late, PATIENCE_MS))]);
  if (answer && answer.status < 500) return answer;
  return (await kept(shell)) ?? (await asked) ?? Response.error();
}
{% endautoescape %}
