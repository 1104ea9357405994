// keelcardMorph puts a changed piece of the page in place of the old one with
// the same id, or its attributes alone. Focus, caret, text being typed and opened details stay, and so
// do elements that the piece only names: <p id="x" data-same>. It reports false
// when something is not on the page that should be there.
"use strict";

const keelcardMorph = (() => {
  const stays = (fresh) => fresh.nodeType === Node.ELEMENT_NODE && fresh.hasAttribute("data-same");
  const settings = {
    morphStyle: "outerHTML",
    callbacks: {
      beforeNodeMorphed: (old, fresh) => !stays(fresh),
      beforeAttributeUpdated: (name, element) => !(name === "open" && element.tagName === "DETAILS"),
    },
  };
  const box = document.createElement("template");

  // A piece of a drawing is read as such only inside an svg element.
  function parse(html, drawn) {
    box.innerHTML = drawn ? `<svg>${html}</svg>` : html;
    const root = box.content.firstChild;
    return drawn ? root.firstChild : root;
  }

  // Mostly a text or an attribute changed and nothing came, went or moved. Then
  // there is nothing to search for; some have more to them than attributes.
  const others = ["TEXTAREA", "SELECT", "DETAILS"];

  function alike(old, fresh) {
    if (old.nodeName !== fresh.nodeName || old.id !== fresh.id || others.includes(old.nodeName)) {
      return false;
    }
    if (stays(fresh)) {
      return true;
    }
    let [o, f] = [old.firstChild, fresh.firstChild];
    while (o && f && alike(o, f)) {
      [o, f] = [o.nextSibling, f.nextSibling];
    }
    return !o && !f;
  }

  function outside(old, fresh) {
    const active = old === document.activeElement;
    for (const { name, value } of fresh.attributes) {
      if (old.getAttribute(name) !== value && !(active && name === "value")) {
        old.setAttribute(name, value);
      }
    }
    for (const name of old.getAttributeNames()) {
      if (!fresh.hasAttribute(name)) {
        old.removeAttribute(name);
      }
    }
    if (old.nodeName === "INPUT" && old.type !== "file") {
      old.checked = fresh.checked;
      if (!active && old.value !== fresh.value) {
        old.value = fresh.value;
      }
    }
  }

  function bring(old, fresh) {
    if (stays(fresh)) {
      return;
    }
    if (old.nodeType !== Node.ELEMENT_NODE) {
      if (old.data !== fresh.data) {
        old.data = fresh.data;
      }
      return;
    }
    outside(old, fresh);
    for (let o = old.firstChild, f = fresh.firstChild; o; [o, f] = [o.nextSibling, f.nextSibling]) {
      bring(o, f);
    }
  }

  return (id, html, attributes) => {
    const element = document.getElementById(id);
    if (!element) {
      return false;
    }
    const fresh = parse(html, element instanceof SVGElement && element.nodeName !== "svg");
    if (attributes) {
      outside(element, fresh);
    } else if (alike(element, fresh)) {
      bring(element, fresh);
    } else {
      // The field that is typed in keeps what it holds. A focused button has to
      // say what it stands for now.
      const ignoreActiveValue = others.includes(document.activeElement?.nodeName);
      Idiomorph.morph(element, fresh, { ...settings, ignoreActiveValue });
    }
    return !document.querySelector("[data-same]");
  };
})();
window.keelcardMorph = keelcardMorph;
