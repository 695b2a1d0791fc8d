// Notes: lines to the player, folded away where they would push what they are about out of reach.

const LARGEST_SHARE = 0.2;

/** Every note of the page, each with the button that unfolds it. */
export class Notes {
  constructor() {
    this.room = document.getElementById("music");
    this.all = [...document.querySelectorAll(".notes")].map((element) => ({
      element, button: element.querySelector(".unfold"), leaf: element.querySelector(".leaf"), asked: null,
    }));
    for (const note of this.all) {
      note.button.addEventListener("click", (event) => {
        note.asked = note.leaf.classList.contains("folded");
        this.unfold(note, note.asked);
        if (event.detail) note.button.blur(); // so that Space starts and stops again
      });
    }
  }

  /** Fold the notes in sight that take more than their share of the room, unless the player has said otherwise. */
  fit() {
    const room = this.room.clientHeight;
    for (const note of this.all) {
      if (!note.element.offsetParent) continue;
      this.unfold(note, true);
      const isLong = note.leaf.offsetHeight > room * LARGEST_SHARE;
      note.button.hidden = !isLong;
      this.unfold(note, note.asked ?? !isLong);
    }
  }

  unfold({ button, leaf }, isOpen) {
    leaf.classList.toggle("folded", !isOpen);
    button.setAttribute("aria-expanded", String(isOpen));
  }
}
