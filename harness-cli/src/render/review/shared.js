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
