/* What a page does beyond plain forms and links. Without it every page reads and every form posts. */
(function () {
  "use strict";
  const person = document.body.dataset.person || "";
  const stored = (key) => { try { return JSON.parse(localStorage.getItem(key)); } catch (_) { return null; } };
  const store = (key, value) => {
    try {
      if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, JSON.stringify(value));
    } catch (_) { /* a full or closed store only costs comfort */ }
  };

  /* News: events recorded since this page was made. It is told, never forced: a form may be half filled. */
  const live = document.getElementById("live");
  if (live && window.EventSource) {
    const first = Number(new URL(live.dataset.live, location.href).searchParams.get("after"));
    const news = new EventSource(live.dataset.live);
    news.addEventListener("recorded", (event) => {
      const more = Number(event.lastEventId) - first;
      const again = document.createElement("a");
      again.href = location.href.split("#")[0];
      again.textContent = more === 1 ? "1 new event: show" : more + " new events: show";
      live.replaceChildren(again);
    });
    news.addEventListener("over", () => { news.close(); live.textContent = "Signed out"; });
    window.addEventListener("pagehide", () => news.close());
  }

  /* Drafts: what is typed into a form is there again after a restart or a lost connection. */
  const fieldsOf = (form) => [...form.elements].filter((one) =>
    one.name && one.name !== "event_id" && !["password", "hidden", "file", "submit"].includes(one.type));
  const draftKey = (form) => "draft " + person + " " + form.getAttribute("action");
  document.querySelectorAll("form[data-draft]").forEach((form) => {
    const kept = stored(draftKey(form));
    if (kept) {
      fieldsOf(form).forEach((one) => {
        const key = one.name + (["radio", "checkbox"].includes(one.type) ? "=" + one.value : "");
        if (!(key in kept)) return;
        if (["radio", "checkbox"].includes(one.type)) one.checked = kept[key]; else one.value = kept[key];
      });
      const told = document.createElement("p");
      told.className = "draft";
      told.append("Filled in from your draft. ");
      const empty = document.createElement("button");
      empty.type = "button";
      empty.textContent = "Empty the form";
      empty.addEventListener("click", () => { store(draftKey(form), null); form.reset(); told.remove(); });
      told.append(empty);
      form.prepend(told);
    }
    form.addEventListener("input", () => {
      const now = {};
      fieldsOf(form).forEach((one) => {
        if (["radio", "checkbox"].includes(one.type)) now[one.name + "=" + one.value] = one.checked;
        else now[one.name] = one.value;
      });
      store(draftKey(form), now);
    });
  });

  /* Outbox: a booking made while the connection is down waits here, visibly, and is sent once.
     The event id in the form makes sending it twice harmless. */
  const outKey = "outbox " + person;
  const box = document.getElementById("outbox");
  const waiting = () => stored(outKey) || [];
  const show = (line) => {
    const all = waiting();
    if (!box) return;
    box.hidden = !all.length && !line;
    box.replaceChildren();
    if (line) { const p = document.createElement("p"); p.textContent = line; box.append(p); }
    if (!all.length) return;
    const p = document.createElement("p");
    p.textContent = all.length === 1 ? "1 booking waits for the connection: " + all[0].what
      : all.length + " bookings wait for the connection.";
    box.append(p);
    const again = document.createElement("button");
    again.type = "button"; again.textContent = "Send now";
    again.addEventListener("click", () => flush());
    box.append(again);
  };
  const send = async (one) => {
    const answer = await fetch(one.action, {
      method: "POST", redirect: "manual", credentials: "same-origin",
      headers: { "content-type": "application/x-www-form-urlencoded", "accept": "application/json" },
      body: one.body,
    });
    if (answer.status >= 500) throw new Error("server");
    const said = await answer.json().catch(() => ({ status: "refused", faults: ["Sign in again, then send it once more."] }));
    return { status: answer.status, said: said };
  };
  let busy = false;
  const flush = async () => {
    if (busy) return;
    busy = true;
    try {
      let all = waiting();
      while (all.length) {
        const answer = await send(all[0]);
        if (answer.status === 401) break;
        const told = answer.said.status === "done" ? "Booked: " : "Not booked: ";
        const why = (answer.said.faults || []).join(" ");
        const what = all[0].what;
        all = waiting().slice(1);
        store(outKey, all.length ? all : null);
        show(told + what + (why ? ". " + why : ""));
      }
    } catch (_) { /* still no connection: it stays in the box */ }
    busy = false;
    if (waiting().length) show("");
  };
  document.querySelectorAll("form[data-book]").forEach((form) => {
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const body = new URLSearchParams(new FormData(form)).toString();
      const one = { action: form.getAttribute("action"), body: body, what: form.dataset.book };
      const button = form.querySelector("button[type=submit], button:not([type])");
      if (button) button.disabled = true;
      try {
        const answer = await send(one);
        if (answer.said.status === "done") {
          store(draftKey(form), null);
          location.assign(answer.said.then || location.href);
          return;
        }
        const box = form.querySelector("[data-answer]");
        box.className = "faulty";
        box.replaceChildren(...(answer.said.faults || []).map((line) => {
          const p = document.createElement("p"); p.textContent = line; return p;
        }));
        box.focus();
      } catch (_) {
        store(outKey, [...waiting(), one]);
        store(draftKey(form), null);
        form.reset();
        const fresh = form.elements.event_id;
        if (fresh) fresh.value = "web-" + crypto.randomUUID();
        show("");
      }
      if (button) button.disabled = false;
    });
  });
  if (person) {
    show("");
    window.addEventListener("online", flush);
    setInterval(() => { if (waiting().length) flush(); }, 4000);
    if (waiting().length) flush();
  }
  const said = document.getElementById("said");
  if (said) said.focus();
})();
