// What was changed since the file was read, and what was undone: the last word on each figure counts.

/**
 * @typedef {object} Change
 * @property {string} key
 * @property {unknown} value
 * @property {boolean} [settled]  the hand has let go of it
 * @property {number} [entry]
 * @property {string | number} [place]
 */

export class Changes {
  /** @type {Change[]} */
  #done = [];
  /** @type {Change[]} */
  #undone = [];

  get isEmpty() { return !this.#done.length; }
  get hasUndone() { return this.#undone.length > 0; }
  get isSettled() { return this.isEmpty || Boolean(this.#done[this.#done.length - 1].settled); }

  /** As they are sent and kept: the hand left out. */
  plain() { return this.#done.map(({ settled: _, ...rest }) => rest); }

  /**
   * Dragging adds one change, not hundreds: as long as the hand holds the same figure, the change
   * takes its new value.
   * @param {string} key
   * @param {unknown} value
   * @param {boolean} settled
   * @param {object} [more]  where it belongs
   * @returns {boolean} whether anything is different now
   */
  add(key, value, settled, more) {
    const last = this.#done[this.#done.length - 1], place = /** @type {Partial<Change>} */ ({ ...more });
    const same = last && !last.settled && last.key === key && last.entry === place.entry && last.place === place.place;
    if (same && settled && JSON.stringify(last.value) === JSON.stringify(value)) { last.settled = true; return false; }
    if (same) { last.value = value; last.settled = settled; } else this.#done.push({ ...place, key, value, settled });
    this.#undone = [];
    return true;
  }

  settle() { if (!this.isEmpty) this.#done[this.#done.length - 1].settled = true; }

  /** @param {Change[]} changes  in place of all there are */
  put(changes) { this.#done = changes.map((each) => ({ ...each, settled: true })); }

  forgetUndone() { this.#undone = []; }

  undo() {
    const last = this.#done.pop();
    if (last) this.#undone.push(last);
  }

  redo() {
    const last = this.#undone.pop();
    if (last) this.#done.push({ ...last, settled: true });
  }
}
