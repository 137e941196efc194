/* Photos of a form: each is sent as soon as it is taken, and its digest goes with the form. So a draft, and a
   booking that waits for the connection, keep the photo; one that could not be sent must be chosen again. */
(function () {
  "use strict";
  const AGAIN = "again", KEPT = /^[0-9a-f]{64}$/;
  const LARGE = 1500000, LONGEST = 2560; /* bytes sent as they are; dots of the longer side otherwise */
  const smaller = async (file) => {
    if (file.size <= LARGE || !window.createImageBitmap) return file;
    try {
      const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
      const by = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
      const drawn = document.createElement("canvas");
      drawn.width = Math.round(picture.width * by); drawn.height = Math.round(picture.height * by);
      drawn.getContext("2d").drawImage(picture, 0, 0, drawn.width, drawn.height);
      const made = await new Promise((done) => drawn.toBlob(done, "image/jpeg", 0.85));
      return made && made.size < file.size ? made : file;
    } catch (_) { return file; }
  };
  const setUp = (box) => {
    const say = JSON.parse(box.dataset.say), said = box.querySelector(".photosaid");
    const field = box.querySelector("input[type=text]"), files = [...box.querySelectorAll("input[type=file]")];
    let waits = null, sending = false;
    const becomes = (value) => { field.value = value; field.dispatchEvent(new Event("input", { bubbles: true })); };
    const leaveOut = () => {
      const out = document.createElement("button");
      out.type = "button"; out.textContent = say.out;
      out.addEventListener("click", () => { waits = null; becomes(""); files[0].focus(); });
      return out;
    };
    const tell = (text, fault, ...more) => {
      const line = document.createElement("span");
      line.textContent = (fault ? "\u25b2 " : "") + text; line.className = fault ? "over" : "";
      said.replaceChildren(...more, line);
    };
    const look = () => {
      if (KEPT.test(field.value)) {
        const link = document.createElement("a"), picture = document.createElement("img");
        link.href = "/photos/" + field.value; picture.src = link.href;
        picture.alt = say.of.replace("{}", (field.name.split(" ").slice(1).join(" ")));
        link.append(picture);
        tell(say.kept, false, link); said.append(leaveOut());
      } else if (field.value === AGAIN && !sending) { tell(say.again, true); said.append(leaveOut()); }
      else if (!field.value) said.replaceChildren();
    };
    const send = async () => {
      if (!waits || sending) return;
      const one = waits;
      sending = true; tell(say.sending, false);
      try {
        const answer = await fetch("/api/photos", {
          method: "POST", credentials: "same-origin", headers: { "accept": "application/json" },
          body: await smaller(one), signal: AbortSignal.timeout ? AbortSignal.timeout(60000) : undefined,
        });
        const told = answer.status < 500 ? await answer.json() : null;
        sending = false;
        if (waits !== one) { send(); return; } /* another was taken meanwhile: that one is meant */
        if (told) {
          waits = null; files.forEach((one) => { one.value = ""; });
          becomes(answer.ok ? told.data.photo : "");
          if (!answer.ok) tell(say.not.replace("{}", told.faults.join(" ")), true);
          return;
        }
      } catch (_) { /* it waits: sent when the line is back, or chosen again */ }
      sending = false;
      if (waits !== one) send(); else look();
    };
    files.forEach((one) => one.addEventListener("change", () => {
      if (!one.files.length) return;
      waits = one.files[0]; becomes(AGAIN); send();
    }));
    box.addEventListener("looked", look);
    window.addEventListener("online", send);
  };
  const boxes = [...document.querySelectorAll("[data-photo]")];
  boxes.forEach(setUp);
  const lookAll = () => boxes.forEach((box) => box.dispatchEvent(new Event("looked")));
  new Set(boxes.map((box) => box.closest("form"))).forEach((form) => {
    form.addEventListener("input", lookAll);
    form.addEventListener("reset", () => setTimeout(lookAll));
    form.addEventListener("submit", (event) => {
      // Nobody shall think that a photo went along which did not.
      const only = event.submitter && event.submitter.name === "only" ? event.submitter.value : "";
      const left = boxes.find((box) => {
        const field = box.querySelector("input[type=text]");
        return box.closest("form") === form && field.value === AGAIN && (!only || field.name === "photo " + only);
      });
      if (!left) return;
      event.preventDefault(); event.stopImmediatePropagation();
      const place = form.querySelector("[data-answer]"), line = document.createElement("p");
      line.textContent = JSON.parse(left.dataset.say).first;
      place.className = "faulty"; place.replaceChildren(line);
      left.scrollIntoView({ block: "center" }); left.querySelector("input[type=file]").focus();
    });
  });
  // Drafts are filled in by the script after this one.
  document.addEventListener("DOMContentLoaded", lookAll);
})();
