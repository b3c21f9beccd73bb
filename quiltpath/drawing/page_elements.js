// Elements of a page: found by their id, of the kind that is expected, or made anew.

/**
 * The element with this id. A page without it, or with another kind of it, is broken.
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} kind  such as HTMLInputElement
 * @returns {T}
 */
export function element(id, kind) {
  const found = document.getElementById(id);
  if (!(found instanceof kind)) throw new Error("the page has no " + kind.name + " called " + id);
  return found;
}

/** @param {string} id */
export const button = (id) => element(id, HTMLButtonElement);

/** @param {string} id */
export const input = (id) => element(id, HTMLInputElement);

/** @param {string} id */
export const part = (id) => element(id, HTMLElement);

/**
 * A new element with some of its properties and what stands in it.
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Partial<HTMLElementTagNameMap[Tag]>} properties
 * @param {...(Node | string)} within
 */
export function made(tag, properties, ...within) {
  const fresh = document.createElement(tag);
  Object.assign(fresh, properties);
  fresh.append(...within);
  return fresh;
}
