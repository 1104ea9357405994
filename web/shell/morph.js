// keelcardMorph puts a changed piece of the page in place of the old one with
// the same id. Focus, caret, text being typed and opened details stay. It
// reports false when there is no such piece.
"use strict";

const keelcardMorph = (() => {
  const settings = {
    morphStyle: "outerHTML",
    ignoreActiveValue: true,
    callbacks: {
      beforeAttributeUpdated: (name, element) => !(name === "open" && element.tagName === "DETAILS"),
    },
  };

  return (id, html) => {
    const element = document.getElementById(id);
    if (!element) {
      return false;
    }
    Idiomorph.morph(element, html, settings);
    return true;
  };
})();
window.keelcardMorph = keelcardMorph;
