'use strict';
(() => {
const book = JSON.parse(document.getElementById('book').textContent);
const $ = id => document.getElementById(id);
const make = (name, text) => { const e = document.createElement(name); if (text !== undefined) e.textContent = text; return e; };
const svgNs = 'http://www.w3.org/2000/svg';
const drawn = (name, attributes) => {
  const e = document.createElementNS(svgNs, name);
  for (const k in attributes) e.setAttribute(k, attributes[k]);
  return e;
};
let language = 0, fairway = book.mows.length ? book.mows[0].fairway : 0, pattern = book.patterns[0], mow = null;
const say = key => book.words[language][key] || key;

// The mow of the chosen fairway: the chosen pattern, or the first it has.
const chosen = () => {
  const all = book.mows.filter(m => m.fairway === fairway);
  return all.find(m => m.pattern === pattern) || all[0] || null;
};

// ---- words -------------------------------------------------------------------------------
function speak() {
  document.documentElement.lang = book.languages[language];
  for (const e of document.querySelectorAll('[data-say]')) e.textContent = say(e.dataset.say);
  for (const e of document.querySelectorAll('[data-label]')) e.setAttribute('aria-label', say(e.dataset.label));
  document.title = say('book.title') + ': ' + book.course;
  const p = $('pattern');
  p.replaceChildren();
  for (const w of book.patterns) {
    const o = make('option', say('pattern.' + w));
    o.value = w;
    p.append(o);
  }
  p.value = pattern;
  const s = $('speed'), keep = s.value || '30';
  s.replaceChildren();
  for (const n of [1, 10, 30, 60, 120]) {
    const o = make('option', say('book.times').replace('{count}', n));
    o.value = n;
    s.append(o);
  }
  s.value = keep;
  const w = $('warnings');
  w.replaceChildren();
  for (const line of book.warnings[language]) w.append(make('li', line));
  label();
}

function label() {
  const name = say('fairway') + ' ' + book.fairways[fairway].name;
  $('which').textContent = name + (mow ? ': ' + say('pattern.' + mow.pattern) : '');
  for (const a of document.querySelectorAll('#map a')) {
    const i = +a.dataset.fairway;
    a.setAttribute('aria-label', say('fairway') + ' ' + book.fairways[i].name);
    a.setAttribute('aria-current', String(i === fairway));
  }
  for (const b of document.querySelectorAll('#list button')) {
    const i = +b.dataset.fairway;
    b.setAttribute('aria-label', say('fairway') + ' ' + book.fairways[i].name);
    b.setAttribute('aria-current', String(i === fairway));
  }
  $('play').textContent = say(playing ? 'book.pause' : 'book.play');
  readout();
}

// ---- the map -----------------------------------------------------------------------------
function ring(points) { return 'M' + points.map(p => p[0] + ' ' + -p[1]).join('L') + 'Z'; }

function buildMap() {
  const b = book.bounds, pad = 0.04 * Math.max(b[2] - b[0], b[3] - b[1], 1);
  const svg = drawn('svg', { viewBox: [b[0] - pad, -b[3] - pad, b[2] - b[0] + 2 * pad, b[3] - b[1] + 2 * pad].join(' ') });
  const size = 0.035 * Math.max(b[2] - b[0], b[3] - b[1], 1);
  book.fairways.forEach((f, i) => {
    // A fairway that is not planned is drawn, but there is nothing to open.
    const open = book.mows.some(m => m.fairway === i);
    const a = open ? drawn('a', { href: '#' + i, 'data-fairway': i }) : drawn('g', { class: 'closed' });
    a.append(drawn('path', { d: f.outline.flat().map(ring).join(''), 'fill-rule': 'evenodd' }));
    for (const [x, y] of f.at) {
      const t = drawn('text', { x, y: -y, 'font-size': size, 'text-anchor': 'middle', 'dominant-baseline': 'central', 'aria-hidden': 'true' });
      // A long name would cover the map; the list has it in full.
      t.textContent = f.name.length > 12 ? '…' : f.name;
      a.append(t);
    }
    svg.append(a);
    if (!open) return;
    a.addEventListener('click', e => { e.preventDefault(); choose(i); });
    const li = make('li'), button = make('button', f.name);
    button.type = 'button';
    button.dataset.fairway = i;
    button.addEventListener('click', () => choose(i));
    li.append(button);
    $('list').append(li);
  });
  $('map').append(svg);
}

// ---- the sheet ---------------------------------------------------------------------------
// A page is a list of texts and of numbers of texts that the pages of its mow share.
function pages(mow) {
  let from = 0;
  for (let i = 0; i < language; i++) from += mow.pages[i];
  return mow.sheets.slice(from, from + mow.pages[language]).map(pieces => {
    const text = pieces.map(p => typeof p === 'number' ? mow.shared[p] : p).join('');
    const doc = new DOMParser().parseFromString(text, 'image/svg+xml');
    return document.importNode(doc.documentElement, true);
  });
}

// Printed pages: a page that lies across asks for paper that lies across.
function leaves(mow) {
  return pages(mow).map(svg => {
    const div = make('div');
    const wide = parseFloat(svg.getAttribute('width')) > parseFloat(svg.getAttribute('height'));
    div.className = wide ? 'leaf wide' : 'leaf';
    div.append(svg);
    return div;
  });
}

function showSheet() {
  $('sheet').replaceChildren(...(mow ? leaves(mow) : []));
}

// ---- the drive ---------------------------------------------------------------------------
let playing = false, at = 0, total = 0, times = [], last = 0, layer = null, laid = 0, view = null;
const canvas = $('drive'), pen = canvas.getContext('2d');
// A track: [reels down, 0, x0, y0, x1, y1] or [reels down, 1, cx, cy, radius, from, sweep].
const length = t => t[1] === 0 ? Math.hypot(t[4] - t[2], t[5] - t[3]) : t[4] * Math.abs(t[6]);
function place(t, part) {
  if (t[1] === 0) return [t[2] + part * (t[4] - t[2]), t[3] + part * (t[5] - t[3]), Math.atan2(t[5] - t[3], t[4] - t[2])];
  const a = t[5] + part * t[6];
  return [t[2] + t[4] * Math.cos(a), t[3] + t[4] * Math.sin(a), a + Math.sign(t[6]) * Math.PI / 2];
}

function load() {
  at = 0;
  times = [0];
  if (mow) {
    // Speeds give each track its share of the whole time, which the planner has worked out.
    let sum = 0;
    mow.tracks.forEach(t => {
      const speed = t[0] ? mow.speed : (t[1] ? book.turning : book.transport);
      sum += length(t) / speed;
      times.push(sum);
    });
    const k = sum > 0 ? mow.minutes * 60 / sum : 0;
    times = times.map(t => t * k);
  }
  total = times[times.length - 1];
  fit();
}

function fit() {
  const k = window.devicePixelRatio || 1, w = canvas.clientWidth, h = canvas.clientHeight;
  canvas.width = Math.max(1, w * k);
  canvas.height = Math.max(1, h * k);
  layer = document.createElement('canvas');
  layer.width = canvas.width;
  layer.height = canvas.height;
  laid = 0;
  if (!mow) { view = null; return; }
  const c = Math.cos(mow.turn), s = Math.sin(mow.turn);
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity;
  for (const p of mow.outline.flat(2)) {
    const x = p[0] * c - p[1] * s, y = p[0] * s + p[1] * c;
    x0 = Math.min(x0, x); x1 = Math.max(x1, x); y0 = Math.min(y0, y); y1 = Math.max(y1, y);
  }
  const room = 8;
  const z = Math.min(canvas.width / (x1 - x0 + 2 * room), canvas.height / (y1 - y0 + 2 * room));
  // Canvas y runs down: a turn, a scale and a flip in one matrix.
  view = [z * c, -z * s, -z * s, -z * c, canvas.width / 2 - z * (x0 + x1) / 2, canvas.height / 2 + z * (y0 + y1) / 2];
  view.z = z;
  paint();
}

function area(ctx, polygons) {
  ctx.beginPath();
  for (const rings of polygons) for (const r of rings) {
    r.forEach((p, i) => i ? ctx.lineTo(p[0], p[1]) : ctx.moveTo(p[0], p[1]));
    ctx.closePath();
  }
}

function drawTrack(ctx, t, from, to) {
  ctx.beginPath();
  if (t[1] === 0) {
    const a = place(t, from), b = place(t, to);
    ctx.moveTo(a[0], a[1]);
    ctx.lineTo(b[0], b[1]);
  } else ctx.arc(t[2], t[3], t[4], t[5] + from * t[6], t[5] + to * t[6], t[6] < 0);
  if (t[0]) {
    const h = place(t, (from + to) / 2)[2];
    ctx.setLineDash([]);
    ctx.lineWidth = mow.width;
    ctx.strokeStyle = Math.cos(h - mow.light) >= 0 ? '#b9cbb0' : '#7d9474';
  } else {
    ctx.setLineDash([1.5, 1.5]);
    ctx.lineWidth = 1.5 / view.z;
    ctx.strokeStyle = '#000';
  }
  ctx.stroke();
}

function paint() {
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.clearRect(0, 0, canvas.width, canvas.height);
  if (!view) return;
  let i = times.findIndex((t, j) => j > 0 && t > at) - 1;
  if (i < 0) i = mow.tracks.length;
  const ctx = layer.getContext('2d');
  if (laid > i) { ctx.setTransform(1, 0, 0, 1, 0, 0); ctx.clearRect(0, 0, layer.width, layer.height); laid = 0; }
  ctx.setTransform(...view);
  for (; laid < i; laid++) drawTrack(ctx, mow.tracks[laid], 0, 1);
  pen.drawImage(layer, 0, 0);
  pen.setTransform(...view);
  let where = null;
  if (i < mow.tracks.length) {
    const t = mow.tracks[i], span = times[i + 1] - times[i];
    const part = span > 0 ? (at - times[i]) / span : 1;
    drawTrack(pen, t, 0, part);
    where = place(t, part);
  } else if (mow.tracks.length) where = place(mow.tracks[mow.tracks.length - 1], 1);
  pen.setLineDash([]);
  for (const k of mow.keepOuts) {
    area(pen, [k[1]]);
    pen.fillStyle = { water: '#9cc3e0', bunker: '#efdfa8', trees: '#9a9a9a' }[k[0]] || '#fff';
    pen.fill('evenodd');
    pen.lineWidth = 1.5 / view.z;
    pen.strokeStyle = '#000';
    pen.stroke();
  }
  area(pen, mow.outline);
  pen.lineWidth = 3 / view.z;
  pen.strokeStyle = '#000';
  pen.stroke();
  if (where) {
    // The mower: a black arrow with a white edge, never smaller than a finger's tip.
    const size = Math.max(mow.width, 16 * (window.devicePixelRatio || 1) / view.z);
    pen.translate(where[0], where[1]);
    pen.rotate(where[2]);
    pen.beginPath();
    pen.moveTo(size, 0);
    pen.lineTo(-0.7 * size, 0.6 * size);
    pen.lineTo(-0.4 * size, 0);
    pen.lineTo(-0.7 * size, -0.6 * size);
    pen.closePath();
    pen.fillStyle = '#000';
    pen.fill();
    pen.strokeStyle = '#fff';
    pen.lineWidth = 2 / view.z;
    pen.stroke();
  }
  readout(i);
}

const clock = s => Math.floor(s / 60) + ':' + String(Math.floor(s % 60)).padStart(2, '0');
function readout(i) {
  if (i === undefined) { i = times.findIndex((t, j) => j > 0 && t > at) - 1; if (i < 0) i = mow ? mow.tracks.length : 0; }
  const n = mow ? mow.tracks.length : 0, j = Math.min(i, n - 1);
  // The step that is being driven: the last that has begun, in the sheet's own words.
  const step = mow ? mow.steps.filter(s => s[0] <= j).pop() || mow.steps[0] : null;
  const told = step ? step[1] + '  ' + step[2][language] : '';
  if ($('step').textContent !== told) $('step').textContent = told;
  $('time').textContent = clock(at) + ' / ' + clock(total);
  $('reels').textContent = say(n && i < n && mow.tracks[j][0] ? 'book.down' : 'book.up');
  const r = $('position');
  r.value = total > 0 ? Math.round(1000 * at / total) : 0;
  r.setAttribute('aria-valuetext', say('book.time') + ' ' + clock(at));
}

function tick(now) {
  if (!playing) return;
  at += (now - last) / 1000 * +$('speed').value;
  last = now;
  if (at >= total) { at = total; stop(); }
  paint();
  if (playing) requestAnimationFrame(tick);
}
function stop() { playing = false; $('play').setAttribute('aria-pressed', 'false'); $('play').textContent = say('book.play'); }
function play() {
  if (at >= total) at = 0;
  playing = true;
  last = performance.now();
  $('play').setAttribute('aria-pressed', 'true');
  $('play').textContent = say('book.pause');
  requestAnimationFrame(tick);
}

// ---- choosing ----------------------------------------------------------------------------
function choose(i) {
  fairway = i;
  show();
}

function show() {
  stop();
  mow = chosen();
  if (mow && mow.pattern !== pattern && book.patterns.includes(mow.pattern)) $('pattern').value = mow.pattern;
  showSheet();
  const d = $('figures');
  d.replaceChildren();
  if (mow) for (const row of mow.figures[language]) { d.append(make('dt', row[0]), make('dd', row[1])); }
  load();
  label();
}

$('language').addEventListener('change', e => { language = +e.target.value; speak(); show(); });
$('pattern').addEventListener('change', e => { pattern = e.target.value; show(); });
$('play').addEventListener('click', () => playing ? (stop(), paint()) : play());
$('rewind').addEventListener('click', () => { stop(); at = 0; paint(); });
$('position').addEventListener('input', e => { stop(); at = total * e.target.value / 1000; paint(); });
$('print').addEventListener('click', () => window.print());
$('print-all').addEventListener('click', () => {
  $('all').replaceChildren(...book.mows.flatMap(leaves));
  document.body.classList.add('everything');
  window.print();
});
window.addEventListener('afterprint', () => { document.body.classList.remove('everything'); $('all').replaceChildren(); });
window.addEventListener('resize', fit);

book.languages.forEach((code, i) => {
  const o = make('option', book.words[i].language_name);
  o.value = i;
  o.lang = code;
  $('language').append(o);
});
language = book.language;
$('language').value = language;
$('course').textContent = book.course;
buildMap();
speak();
show();
})();
