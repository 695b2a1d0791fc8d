// Front: what stands before the phrases of a whole book — its notes to the player, and the list of the phrases.

/** The front of a page; one of a single phrase has none to turn to, and is never at it. */
export class Front {
  constructor(page) {
    this.page = page;
    this.element = document.getElementById("front");
    this.rows = [...document.querySelectorAll("[data-phrase]")];
    for (const row of this.rows) {
      row.addEventListener("click", () => {
        page.choose(Number(row.dataset.phrase));
        document.getElementById("music").focus();
      });
    }
  }

  get isOpen() {
    return Boolean(this.element) && !this.element.classList.contains("put-away");
  }

  /** A page with notes to the player begins with them. */
  begin() {
    if (this.element?.dataset.begins !== undefined) this.turn(true);
  }

  /** Show the list in the place of the phrase in hand. */
  open() {
    const { page } = this;
    if (!this.element) return;
    if (page.isPlaying || page.starting) page.stop();
    this.turn(true);
    page.notes.fit();
    this.rows[page.index].focus();
    page.say("All phrases");
  }

  /** Turn to the front, or from it to the phrase in hand. */
  turn(isFront) {
    const { index, sections } = this.page;
    this.element?.classList.toggle("put-away", !isFront);
    document.body.classList.toggle("at-front", isFront);
    for (const [at, section] of sections.entries()) section.classList.toggle("put-away", isFront || at !== index);
    document.getElementById("music").scrollTop = 0;
    for (const [at, row] of this.rows.entries()) {
      if (at === index) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    }
  }
}
