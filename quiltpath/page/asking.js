// Questions to the server, which is on this machine.

import { now, TOKEN } from "./given.js";

/**
 * @param {string} path
 * @param {object} content
 * @param {AbortSignal} [signal]
 */
function send(path, content, signal) {
  return fetch(path, {
    method: "POST", body: JSON.stringify({ base: now.state.base, ...content }), cache: "no-store", signal,
    headers: { "Content-Type": "application/json", "X-Token": TOKEN },
  });
}

/** What the server answered in place of what was asked for. */
export class Refusal extends Error {}

/** @param {unknown} fault */
export const wordsOf = (fault) =>
  fault instanceof Refusal ? fault.message : "no answer: is \"quiltpath show\" still running?";

/** @param {unknown} fault */
export const isStopped = (fault) => fault instanceof DOMException && fault.name === "AbortError";

/**
 * The parts of an answer as they come; raises Refusal.
 * @param {string} path
 * @param {object} content
 * @param {AbortSignal} [signal]
 * @returns {AsyncGenerator<any>}
 */
export async function* parts(path, content, signal) {
  const reply = await send(path, content, signal);
  if (!reply.ok || !reply.body) throw new Refusal((await reply.json()).fault);
  const reader = reply.body.pipeThrough(new TextDecoderStream()).getReader();
  let text = "";
  for (;;) {
    const { value, done: ended } = await reader.read();
    text += value || "";
    const lines = text.split("\n");
    text = lines.pop() || "";
    for (const line of lines) {
      const said = JSON.parse(line);
      if (said.fault) throw new Refusal(said.fault);
      yield said;
    }
    if (ended) return;
  }
}

/**
 * The first part of an answer.
 * @param {string} path
 * @param {object} [content]
 * @returns {Promise<any>}
 */
export async function ask(path, content = {}) {
  for await (const said of parts(path, content)) return said;
  throw new Error("no answer");
}

/**
 * A file's own bytes, unchanged; raises Refusal.
 * @param {string} path
 * @param {File} file
 */
export async function sendFile(path, file) {
  const headers = { "Content-Type": "application/octet-stream", "X-Token": TOKEN };
  const reply = await fetch(path, { method: "POST", body: file, cache: "no-store", headers });
  if (!reply.ok) throw new Refusal((await reply.json()).fault);
}

/**
 * Words for the person, wherever the page tells what happens.
 * @param {string} text
 * @param {boolean} wrong
 */
export function hear(text, wrong) {
  document.querySelectorAll("[data-heard]").forEach((place) => {
    place.textContent = text; place.className = wrong ? "wrong" : "";
  });
}
