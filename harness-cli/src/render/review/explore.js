// Exploring: what is behind a fuse, what stops when it is pulled or a plug is opened, currents by mode, two things side by side, notes.
// Every answer is text of the page already; it is lit, gathered or put into another place here.
(() => {
const button = (words, act) => {
  const made = make('button', { type: 'button', class: 'do' }, words);
  made.addEventListener('click', act);
  return made;
};
const idsOf = links => new Set(links.map(link => link.getAttribute('href').slice(1)));

// What leads where: gathered once.
let leading = null;
const linksTo = id => {
  if (!leading) {
    leading = new Map();
    for (const link of all('main a[href], #verdict a[href]')) {
      const to = link.getAttribute('href').slice(1);
      (leading.get(to) ?? leading.set(to, []).get(to)).push(link);
    }
  }
  return leading.get(id) ?? [];
};

const tray = make('aside', { id: 'tray', class: 'screen', 'aria-label': 'exploring', hidden: '' });
const said = make('p', { role: 'status' });
const shown = make('div', { class: 'shown' });
const beside = make('div', { class: 'beside' });
tray.append(said, shown, beside);
document.body.append(tray);
const close = () => { tray.hidden = !said.textContent && !beside.childElementCount && !shown.childElementCount; };

let lit = [];
const clear = () => {
  for (const element of lit) element.classList.remove('lit', 'out');
  lit = [];
  said.replaceChildren();
  shown.replaceChildren();
  close();
};
const light = (ids, kind) => {
  for (const id of ids) {
    const own = document.getElementById(id);
    for (const element of [...(own ? [own] : []), ...linksTo(id)]) {
      element.classList.add(kind);
      lit.push(element);
    }
  }
};
const say = (words, ...more) => {
  said.replaceChildren(words, ' ', button('Clear', clear));
  shown.replaceChildren(...more);
  tray.hidden = false;
};

// Modes: one of the design's, or the worst of all.
const modes = all('#modes h3').map(mode => mode.textContent);
const select = make('select', { id: 'mode', class: 'do' }, make('option', { value: '' }, 'the worst of each'), ...modes.map(mode => make('option', { value: mode }, mode)));
const rowsOf = (block, mode) => all('.md li', block).find(row => ($('i', row)?.textContent ?? '').split(', ').includes(mode));
const worst = new Map();
const show = () => {
  const mode = select.value;
  for (const row of all('#fuses tbody tr, #conductors tbody tr')) {
    const block = document.getElementById($('a', row.cells[0])?.getAttribute('href')?.slice(1));
    const heads = [...row.closest('table').tHead.lastElementChild.cells].map(head => head.textContent.trim());
    const [load, of] = [row.cells[heads.indexOf('load A')], row.cells[heads.indexOf('in mode')]];
    if (!worst.has(row)) worst.set(row, [[...load.childNodes], [...of.childNodes], load.className]);
    const [was, was_of, places] = worst.get(row);
    load.className = mode ? '' : places;
    const amps = mode && block && $('b', rowsOf(block, mode) ?? block.ownerDocument.createElement('p'))?.textContent;
    if (!mode) { load.replaceChildren(...was); of.replaceChildren(...was_of); }
    else { load.replaceChildren(amps ? amps.replace(/ A$/, '') : '\u2013'); of.replaceChildren(mode); }
  }
  if (pulled) pull(pulled);
};
if (modes.length && $('.md')) {
  const place = $('#explore-modes');
  place.append(make('label', { for: 'mode' }, 'Currents in the tables: '), select);
  select.addEventListener('change', show);
}

// Pulled or opened: what the page says of it, lit.
let pulled = null;
const pull = block => {
  const rows = all('.stops li', block);
  const row = rows.find(row => row.dataset.m === select.value) ?? (select.value ? null : rows[0]);
  clear();
  pulled = block;
  const what = kindOf(block) === 'connector' ? 'opened' : 'pulled';
  if (!row) {
    say(`${nameOf(block)} ${what}${select.value ? ' in ' + select.value : ''}: nothing stops that is computed.`);
    return;
  }
  light(idsOf(all('a', row)), 'out');
  say(`${nameOf(block)} ${what} in ${row.dataset.m}:`, ...[...row.cloneNode(true).childNodes].filter(node => node.nodeName !== 'I'));
};
const behind = block => {
  const ids = idsOf(all('.behind a', block));
  clear();
  pulled = null;
  light(ids, 'lit');
  say(`Lit: ${ids.size} conductors behind ${nameOf(block)}.`);
};

// Two things side by side.
const keep = block => {
  const copy = block.cloneNode(true);
  for (const part of [copy, ...all('[id]', copy)]) part.removeAttribute('id');
  $('.tools', copy)?.remove();
  copy.classList.remove('lit', 'out');
  copy.prepend(button('Put away', () => { copy.remove(); close(); }));
  while (beside.childElementCount > 1) beside.firstElementChild.remove();
  beside.append(copy);
  tray.hidden = false;
};

// Notes of a reviewer: kept in this browser for this page, given out as text.
const key = 'review ' + ($('header .id')?.textContent ?? '');
let notes = {};
try { notes = JSON.parse(localStorage.getItem(key)) ?? {}; } catch { /* a browser that keeps nothing */ }
const save = () => { try { localStorage.setItem(key, JSON.stringify(notes)); } catch { /* kept until the page is closed */ } };
const quoted = text => JSON.stringify(text).replace(/[\u007f-\uffff]/g, letter => '\\u' + letter.charCodeAt(0).toString(16).padStart(4, '0'));
const asWaivers = () => {
  const rows = [];
  for (const note of Object.values(notes)) {
    if (!note.accept || !note.text) continue;
    const by = note.by ? `, by: ${quoted(note.by)}` : '';
    const until = note.until ? `, until: ${note.until}` : '';
    rows.push(`  - { finding: ${note.rule}, at: ${quoted(note.at)}, reason: ${quoted(note.text)}${by}${until}, reviewed: ${quoted(note.reviewed)} }`);
  }
  return rows.length ? 'waivers:\n' + rows.join('\n') + '\n' : '# No finding is accepted in the notes.\n';
};
const asMarkdown = () => {
  const plain = text => text.replace(/([\\`*_<>[\]#|])/g, '\\$1');
  const rows = Object.entries(notes).filter(([, note]) => note.text).map(([, note]) => {
    const accepted = note.accept ? ` Accepted${note.by ? ' by ' + plain(note.by) : ''}${note.until ? ' until ' + note.until : ''}.` : '';
    return `- **${plain(note.name)}**: ${plain(note.text).replace(/\n/g, '\n  ')}${accepted}`;
  });
  return `# ${plain($('h1').textContent)}\n\n${plain($('header .id').textContent.trim())}\n\n${rows.join('\n') || 'No notes.'}\n`;
};
const give = text => {
  const out = make('textarea', { id: 'given', rows: '8', readonly: '', 'aria-label': 'notes as text' });
  out.value = text;
  say('Notes as text, to be copied.', out);
  out.select();
};
const given = () => Object.values(notes).filter(note => note.text).length;
const noted = () => {
  for (const mark of all('.noted')) mark.remove();
  for (const [id, note] of Object.entries(notes)) {
    const head = note.text && document.getElementById(id)?.querySelector('h3, h4');
    if (head) head.append(make('span', { class: 'noted' }, ' (noted)'));
  }
};
const write = block => {
  const note = notes[block.id] ??= { text: '', name: nameOf(block) };
  const field = (words, input) => make('label', {}, words + ' ', input);
  const area = make('textarea', { rows: '3', 'aria-label': 'note' });
  area.value = note.text;
  const form = make('div', { class: 'note' }, area);
  const put = (name, input) => input.addEventListener('input', () => { note[name] = input.type === 'checkbox' ? input.checked : input.value; save(); noted(); });
  put('text', area);
  if (block.dataset.rule) {
    note.rule = block.dataset.rule;
    note.at = block.dataset.at;
    note.reviewed = block.dataset.reviewed;
    note.name = $('h4', block).firstChild.textContent + ' ' + block.dataset.rule + ' at ' + block.dataset.at;
    const accept = make('input', { type: 'checkbox' });
    const by = make('input', { type: 'text' }), until = make('input', { type: 'date' });
    accept.checked = !!note.accept;
    by.value = note.by ?? '';
    until.value = note.until ?? '';
    put('accept', accept);
    put('by', by);
    put('until', until);
    form.append(make('p', {}, field('Accept the finding for this reason', accept), ' ', field('by', by), ' ', field('until', until)));
    form.append(make('p', { class: 'small' }, 'A danger is accepted only with a name and a day.'));
  }
  form.append(button('Notes as waivers (YAML)', () => give(asWaivers())), ' ', button('Notes as Markdown', () => give(asMarkdown())));
  $('.note', tools)?.remove();
  tools.append(form);
  area.focus();
};

// The tools are at the block that a link led to, and at no other: nobody tabs through hundreds of buttons.
const tools = make('div', { class: 'tools screen' });
const arrive = () => {
  const id = location.hash.startsWith('#?') ? '' : decodeURIComponent(location.hash.slice(1));
  const target = id && document.getElementById(id);
  const block = target && target.closest('article[id], figure[id]');
  tools.remove();
  if (!block || !block.id) return;
  tools.replaceChildren();
  if ($('.behind', block)) tools.append(button('Light up what is behind it', () => behind(block)), ' ');
  if ($('.stops', block)) tools.append(button(kindOf(block) === 'connector' ? 'Open it: what stops' : 'Pull it: what stops', () => pull(block)), ' ');
  tools.append(button('Keep beside', () => keep(block)), ' ', button('Note', () => write(block)));
  block.append(tools);
  if ($('.behind', block)) behind(block);
};
addEventListener('hashchange', arrive);
arrive();
noted();
if (given()) say(`${given()} notes are kept in this browser.`, button('Notes as waivers (YAML)', () => give(asWaivers())), ' ', button('Notes as Markdown', () => give(asMarkdown())));
})();
