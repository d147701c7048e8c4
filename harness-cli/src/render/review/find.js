(() => {
const plain = text => text.toLowerCase().replace(/²/g, '2').replace(/°/g, 'deg').replace(/Ω/g, 'ohm');
const wordsOf = text => plain(text).split(/\s+/).filter(word => word);
const fits = (text, words) => words.every(word => text.includes(word));

// State in the address: `#?find=cab+rd&things=pump`. A plain id stays what it is.
const state = () => new URLSearchParams(location.hash.startsWith('#?') ? location.hash.slice(2) : '');
const keep = (key, value) => {
  const now = state();
  if (value) now.set(key, value); else now.delete(key);
  const text = now.toString();
  const address = text ? '#?' + text : location.hash.startsWith('#?') ? '#' : location.hash;
  if (address !== location.hash) history.replaceState(null, '', address || '#');
};

// What can be found: blocks, rows with an id, lines with an id. Gathered when the box is first in use.
let items = null;
const gather = () => {
  items = [];
  const put = (kind, name, text, id) => items.push({ kind, name: name.trim(), id, text: plain(kind + ' ' + text), first: plain(name.trim()) });
  for (const block of all('[data-k], article[id]')) {
    const kind = kindOf(block);
    if (block.matches('table')) {
      for (const row of all('tbody tr[id]', block)) put(kind, row.cells[0].textContent, row.textContent, row.id);
    } else if (block.matches('.lines')) {
      for (const link of all('a[id]', block)) put(kind, link.textContent, link.textContent + (link.nextSibling?.data ?? ''), link.id);
    } else if (block.id) {
      const head = $('h3, h4', block), more = $('.s', block);
      put(kind, nameOf(block), (head ? head.textContent : '') + ' ' + (more ? more.textContent : block.textContent), block.id);
    }
  }
};

const box = $('#q'), found = $('#found'), count = $('#count');
const MOST = 20;
const find = () => {
  const words = wordsOf(box.value);
  keep('find', box.value.trim());
  found.replaceChildren();
  found.hidden = !words.length;
  if (!words.length) { count.textContent = ''; return; }
  if (!items) gather();
  const hits = items.filter(item => fits(item.text, words));
  const rank = item => item.first === words.join(' ') ? 0 : item.first.endsWith('.' + words[0]) ? 1 : fits(item.first, words) ? 2 : 3;
  const kinds = new Map();
  for (const hit of hits) (kinds.get(hit.kind) ?? kinds.set(hit.kind, []).get(hit.kind)).push(hit);
  const groups = [...kinds].map(([kind, list]) => [kind, list.map(item => [rank(item), item]).sort((a, b) => a[0] - b[0])]);
  groups.sort((a, b) => a[1][0][0] - b[1][0][0]);
  for (const [kind, list] of groups) {
    const of = list.length > MOST ? `${MOST} of ${list.length}` : `${list.length}`;
    found.append(make('h3', {}, `${kind} (${of})`));
    found.append(make('ul', {}, ...list.slice(0, MOST).map(([, item]) => make('li', {}, make('a', { href: '#' + item.id }, item.name)))));
  }
  count.textContent = hits.length ? `${hits.length} found` :
    `nothing in this design is named ${box.value.trim()}; use names as findings show them, part of a name is enough`;
};
$('#find').hidden = false;
let wait = 0;
box.addEventListener('input', () => { clearTimeout(wait); wait = setTimeout(find, 60); });
let before = null;
document.addEventListener('keydown', event => {
  const typing = event.target.matches('input, textarea, select');
  if (event.key === '/' && !typing && !event.ctrlKey && !event.metaKey) {
    before = document.activeElement;
    box.focus();
    box.select();
    event.preventDefault();
  } else if (event.key === 'Escape' && event.target.closest('#find')) {
    box.value = '';
    find();
    if (before && before !== document.body) before.focus(); else box.blur();
  } else if (event.key === 'Enter' && event.target === box) {
    clearTimeout(wait);
    find();
    $('a', found)?.click();
  }
});
found.addEventListener('click', event => { if (event.target.closest('a')) found.hidden = true; });
document.addEventListener('click', event => { if (!event.target.closest('#find')) found.hidden = true; });
box.addEventListener('focus', () => {
  if (!items) setTimeout(() => { if (!items) gather(); }, 30); if (box.value && found.childElementCount) found.hidden = false; });

// Filters: what does not fit is hidden in its place, with headings of what is empty then.
const filters = [];
for (const section of all('#findings, #fuses, #conductors, #connectors, #faults, #things, #nets')) {
  const lines = all('article[id], tbody tr, .group li[id]', section).filter(line => !line.parentElement.closest('article'));
  if (lines.length < 8) continue;
  const input = make('input', { id: 'filter-' + section.id, type: 'search', autocomplete: 'off', spellcheck: 'false' });
  const status = make('p', { role: 'status', class: 'small' });
  const label = make('label', { for: input.id, class: 'small' }, `Of ${lines.length} show those with`);
  $('h2', section).after(make('div', { class: 'filter' }, label, input, status));
  let texts = null;
  const apply = () => {
    const words = wordsOf(input.value);
    texts ??= lines.map(line => plain(line.textContent));
    let shown = 0;
    lines.forEach((line, at) => { const fit = fits(texts[at], words); line.hidden = !fit; shown += fit; });
    for (const group of all('.group', section)) {
      const own = lines.filter(line => group.contains(line));
      group.hidden = own.length > 0 && own.every(line => line.hidden);
    }
    status.textContent = words.length ? `${shown} of ${lines.length}` : '';
    keep(section.id, input.value.trim());
  };
  let later = 0;
  input.addEventListener('input', () => { clearTimeout(later); later = setTimeout(apply, 80); });
  input.addEventListener('keydown', event => { if (event.key === 'Escape') { input.value = ''; apply(); } });
  filters.push([section.id, input, apply, lines]);
}
// A link leads to what is hidden by a filter too.
const reveal = () => {
  const id = decodeURIComponent(location.hash.slice(1));
  const target = id && !id.startsWith('?') && document.getElementById(id);
  if (!target) return;
  for (const [, input, apply, lines] of filters) {
    if (lines.some(line => line.hidden && line.contains(target))) { input.value = ''; apply(); }
  }
  target.scrollIntoView();
};

// Tables are sorted by a click on a head; a head gets its button when its table comes near the window.
const value = cell => {
  const text = cell.textContent.trim();
  const number = parseFloat(text.replace('\u2212', '-').replace(/^! /, '').replace(/^over /, ''));
  return { number: Number.isNaN(number) ? null : number, text };
};
const sortable = table => {
  const body = table.tBodies[0];
  for (const head of table.tHead.lastElementChild.cells) {
    const column = head.cellIndex;
    const button = make('button', { type: 'button', title: 'sort by this column' });
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener('click', () => {
      const up = head.getAttribute('aria-sort') !== 'ascending';
      for (const other of head.parentElement.cells) other.removeAttribute('aria-sort');
      head.setAttribute('aria-sort', up ? 'ascending' : 'descending');
      const rows = [...body.rows].map(row => [value(row.cells[column]), row]);
      const compare = ([a], [b]) => a.number === null || b.number === null
        ? (a.number === null) - (b.number === null) || (up ? 1 : -1) * a.text.localeCompare(b.text, 'en', { numeric: true })
        : (up ? 1 : -1) * (a.number - b.number);
      body.append(...rows.sort(compare).map(([, row]) => row));
    });
  }
};
const near = new IntersectionObserver(seen => {
  for (const { target, isIntersecting } of seen) if (isIntersecting) { near.unobserve(target); sortable(target); }
}, { rootMargin: '600px' });
for (const table of all('main table')) if (table.tBodies[0]?.rows.length > 2) near.observe(table);

const restore = () => {
  const now = state();
  if (now.get('find') && box.value !== now.get('find')) { box.value = now.get('find'); find(); }
  for (const [id, input, apply] of filters) if (now.get(id) && input.value !== now.get(id)) { input.value = now.get(id); apply(); }
};
restore();
addEventListener('hashchange', () => { restore(); reveal(); });
})();
