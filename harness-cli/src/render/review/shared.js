'use strict';
// What the scripts of the page share.
const $ = (selector, from = document) => from.querySelector(selector);
const all = (selector, from = document) => [...from.querySelectorAll(selector)];
const make = (tag, attributes = {}, ...inside) => {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...inside);
  return made;
};
// What a block is, and what it is called: the beginning of its heading, or all of it where that begins with a level.
const kindOf = block => block.dataset.k ?? block.closest('[data-of]')?.dataset.of ?? '';
const nameOf = block => {
  const head = $('h3, h4', block);
  return ((head?.firstChild?.nodeType === 3 ? head.firstChild : head) ?? block).textContent.trim();
};
