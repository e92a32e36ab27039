// browser.js DIR [--renew] - looks at the pages in DIR as people do, in headless Chromium: at a phone, a desk, in the dark, on paper, with
// the keyboard, without a script, and as a screen reader's rules see them (axe-core).
//
// DIR has month.html, year.html, charge.html, sheet.html, names.html and the folder board. Prints a line "SUBJECT: what is wrong" for each fault, and
// "SUBJECT checked N" for each subject. --renew writes the pictures of tests/browser instead of comparing with them.
'use strict';
const fs = require('fs');
const path = require('path');
const { execFileSync } = require('child_process');
const oracles = path.join(__dirname, '..', 'oracles', 'node_modules');
const { chromium } = require(path.join(oracles, 'playwright-core'));
const { PNG } = require(path.join(oracles, 'pngjs'));
const axe = fs.readFileSync(path.join(oracles, 'axe-core', 'axe.min.js'), 'utf8');

const dir = path.resolve(process.argv[2]);
const renew = process.argv[3] === '--renew';
const checked = {};
const at = (name) => 'file://' + path.join(dir, name);
const fault = (subject, text) => console.log(`${subject}: ${text}`);
const count = (subject, n = 1) => { checked[subject] = (checked[subject] || 0) + n; };

const phone = { width: 390, height: 1100 };
const desk = { width: 1280, height: 1100 };

// A page that says of every request and every message what it is; neither should be.
async function open(browser, name, options = {}) {
	const context = await browser.newContext({ viewport: desk, deviceScaleFactor: 1, ...options });
	const page = await context.newPage();
	page.on('console', (message) => fault('quiet', `${name}: console: ${message.text()}`));
	page.on('pageerror', (error) => fault('quiet', `${name}: ${error}`));
	page.on('request', (request) => {
		if (!request.url().startsWith('file://' + dir) || !request.isNavigationRequest())
			fault('quiet', `${name}: it asks for ${request.url()}`);
	});
	await page.goto(at(name));
	count('quiet');
	return page;
}

const close = (page) => page.context().close();

// ---- pictures: what is stored in tests/browser, at half its size

async function compare(name, bytes) {
	const { default: pixelmatch } = await import(path.join(oracles, 'pixelmatch', 'index.js'));
	const file = path.join(__dirname, name + '.png');
	count('pictures');
	if (renew) {
		fs.writeFileSync(file, PNG.sync.write(PNG.sync.read(bytes), { colorType: 2, deflateLevel: 9 }));
		return;
	}
	const got = PNG.sync.read(bytes);
	const want = PNG.sync.read(fs.readFileSync(file));
	if (got.width !== want.width || got.height !== want.height) {
		fault('pictures', `${name} is ${got.width} x ${got.height}, not ${want.width} x ${want.height}`);
		return;
	}
	const off = pixelmatch(got.data, want.data, null, got.width, got.height, { threshold: 0.25 });
	if (off > 0.01 * got.width * got.height) {
		fault('pictures', `${name}: ${off} of ${got.width * got.height} points differ; see ${path.join(dir, name)}.png, and renew it if it is right`);
		fs.writeFileSync(path.join(dir, name + '.png'), bytes);
	}
}

async function picture(browser, name, file, options) {
	const page = await open(browser, file, { deviceScaleFactor: 0.5, ...options });
	await compare(name, await page.screenshot());
	await close(page);
}

async function pictures(browser) {
	await picture(browser, 'month-desk', 'month.html', { viewport: desk });
	await picture(browser, 'month-phone', 'month.html', { viewport: phone });
	await picture(browser, 'month-dark', 'month.html', { viewport: desk, colorScheme: 'dark' });
	await picture(browser, 'charge-phone-dark', 'charge.html', { viewport: phone, colorScheme: 'dark' });
	await picture(browser, 'origin-desk', 'board/of-C016.html', { viewport: desk });
}

// ---- paper

const words = (text) => text.split(/[\s\u2212]+/).filter((word) => /\w/.test(word));

async function print(browser, file, pages) {
	const page = await open(browser, file);
	const pdf = path.join(dir, path.basename(file, '.html') + '.pdf');
	fs.writeFileSync(pdf, await page.pdf({ preferCSSPageSize: true, printBackground: true }));
	const info = execFileSync('pdfinfo', [pdf], { encoding: 'utf8' });
	const n = Number(/^Pages: +(\d+)/m.exec(info)[1]);
	if (n !== pages)
		fault('paper', `${file} has ${n} sheets, not ${pages}`);
	if (!/Page size: +59[45].* x 84[12]/.test(info))
		fault('paper', `${file} is not on A4: ${/Page size.*/.exec(info)[0]}`);
	// every word of the tables, points and headings is there to be found
	const text = execFileSync('pdftotext', ['-layout', pdf, '-'], { encoding: 'utf8' });
	const there = new Set(words(text.replace(/-\s*\n\s*/g, '-')).concat(words(text)));
	await page.emulateMedia({ media: 'print' });
	const wanted = await page.evaluate(() => [...document.querySelectorAll('h1, h2, h3, .points span, tbody *:not(:has(*))')].map((e) => e.textContent));
	const missing = [...new Set(words(wanted.join(' ')))].filter((word) => !there.has(word) && !text.includes(word));
	if (missing.length)
		fault('paper', `${file}: not in its text: ${missing.slice(0, 9).join(' ')}`);
	for (const foot of ['data through 2027-12-31', `page 1 of ${pages}`, `page ${pages} of ${pages}`])
		if (!text.includes(foot))
			fault('paper', `${file}: no '${foot}' at its foot`);
	count('paper', wanted.length);
	await close(page);
	return pdf;
}

async function drawn(pdf, sheet, name) {
	execFileSync('pdftoppm', ['-r', '42', '-f', String(sheet), '-l', String(sheet), '-png', '-singlefile', pdf, pdf]);
	await compare(name, fs.readFileSync(pdf + '.png'));
}

async function paper(browser) {
	const month = await print(browser, 'month.html', 2);
	await drawn(month, 1, 'month-paper-1');
	await drawn(month, 2, 'month-paper-2');
	await drawn(await print(browser, 'sheet.html', 1), 1, 'sheet-paper');
	await print(browser, 'charge.html', 1);
}

// ---- nothing is wider than the screen; tables scroll within themselves

async function width(browser) {
	for (const file of ['month.html', 'charge.html', 'sheet.html', 'names.html', 'board/find.html', 'board/due.html', 'board/of-C016.html']) {
		const page = await open(browser, file);
		for (const size of [320, 390, 768, 1024, 1280, 1920]) {
			await page.setViewportSize({ width: size, height: 800 });
			const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
			if (wide > 0)
				fault('width', `${file} at ${size}: ${wide} too wide`);
			count('width');
		}
		await close(page);
	}
}

// ---- the rules of access

async function access(browser) {
	for (const file of ['month.html', 'charge.html', 'sheet.html', 'names.html', 'board/index.html', 'board/due.html', 'board/rooms.html', 'board/of-C016.html'])
		for (const colorScheme of ['light', 'dark']) {
			// the other rules do not depend on colours
			const only = colorScheme === 'dark' ? { runOnly: ['color-contrast'] } : {};
			const page = await open(browser, file, { colorScheme });
			await page.evaluate(axe);
			const found = await page.evaluate((ask) => window.axe.run(ask), { ...only, resultTypes: ['violations', 'incomplete'] });
			for (const rule of found.violations)
				fault('access', `${file} (${colorScheme}): ${rule.id}: ${rule.help}: ${rule.nodes[0].html.slice(0, 120)}`);
			// over a picture or a gradient it cannot tell a contrast
			for (const node of found.incomplete.flatMap((rule) => rule.nodes).filter((n) => /gradient|image/.test(n.failureSummary)))
				fault('access', `${file} (${colorScheme}): contrast not known: ${node.html.slice(0, 120)}`);
			if (!found.passes.some((rule) => rule.id === 'color-contrast') || (colorScheme === 'light' && found.passes.length < 15))
				fault('access', `${file} (${colorScheme}): only ${found.passes.length} rules were looked at`);
			count('access', found.passes.length);
			await close(page);
		}
}

// ---- the keyboard

async function keyboard(browser) {
	for (const file of ['month.html', 'charge.html', 'board/index.html', 'board/of-C016.html']) {
		const page = await open(browser, file);
		const wanted = await page.evaluate(() => document.querySelectorAll('a[href], input, [tabindex="0"]').length);
		await page.keyboard.press('Tab');
		if (await page.evaluate(() => document.activeElement.className) !== 'skip')
			fault('keyboard', `${file}: the first stop does not skip to the content`);
		for (let i = 0; i < wanted; i++) {
			const seen = await page.evaluate(() => {
				const e = document.activeElement, box = e.getBoundingClientRect(), style = getComputedStyle(e);
				return { name: e.outerHTML.slice(0, 80), shown: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
					inside: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth };
			});
			if (!seen.shown || !seen.inside)
				fault('keyboard', `${file}: stop ${i} is not seen: ${seen.name}`);
			count('keyboard');
			await page.keyboard.press('Tab');
		}
		if (!await page.evaluate(() => document.activeElement === document.body || document.activeElement.className === 'skip'))
			fault('keyboard', `${file}: more than ${wanted} stops`);
		await page.evaluate(() => document.querySelector('.skip').focus());
		await page.keyboard.press('Enter');
		if (await page.evaluate(() => document.activeElement.id) !== 'main')
			fault('keyboard', `${file}: the skip link does not lead to the content`);
		await close(page);
	}
}

// ---- the index, with a script and without

async function find(browser) {
	const page = await open(browser, 'board/find.html');
	const all = await page.locator('.plain li').count();
	await page.keyboard.press('Tab');
	await page.locator('input').fill('c01');
	const shown = await page.locator('.plain li:visible').allTextContents();
	if (!shown.length || shown.some((text) => !text.toLowerCase().includes('c01')))
		fault('find', `'c01' shows: ${shown.join('; ')}`);
	if (await page.locator('[role=status]').textContent() !== `${shown.length} of ${all} ids`)
		fault('find', `it says '${await page.locator('[role=status]').textContent()}'`);
	await page.locator('input').fill('no such id');
	if (await page.locator('.plain li:visible').count())
		fault('find', 'an id that is not there is shown');
	await page.locator('input').fill('C016');
	await page.keyboard.press('Enter');
	await page.waitForURL(at('board/of-C016.html'));
	count('find', all);
	await close(page);
	const still = await open(browser, 'board/find.html', { javaScriptEnabled: false });
	if (await still.locator('.plain li a:visible').count() !== all || await still.locator('input').count())
		fault('find', 'without a script: not all ids, or a field that does nothing');
	await close(still);
}

// ---- links: each page of the board is visited once, by its links

async function links(browser) {
	const page = await open(browser, 'board/index.html');
	const seen = new Set(['index.html']);
	const left = ['index.html'];
	while (left.length) {
		const file = left.pop();
		await page.goto(at('board/' + file), { waitUntil: 'domcontentloaded' });
		const found = await page.evaluate(() => ({ title: document.title, h1: document.querySelectorAll('h1').length,
			dead: [...document.querySelectorAll('a[href^="#"]')].filter((a) => !document.getElementById(a.getAttribute('href').slice(1))).length,
			to: [...document.querySelectorAll('a[href]:not([href^="#"])')].map((a) => a.getAttribute('href')) }));
		if (!found.title || found.h1 !== 1 || found.dead)
			fault('links', `${file}: title '${found.title}', ${found.h1} h1, ${found.dead} dead links within it`);
		for (const to of new Set(found.to)) {
			if (!fs.existsSync(path.join(dir, 'board', to)))
				fault('links', `${file} leads to ${to}, which is not there`);
			// of the many ids, one in ten; board.bats has all
			else if (!seen.has(to) && (!/^of-/.test(to) || /0\.html$/.test(to)))
				left.push(to);
			seen.add(to);
		}
		count('links');
	}
	await close(page);
}

async function main() {
	const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
	for (const look of renew ? [pictures, paper] : [pictures, paper, width, access, keyboard, find, links])
		await look(browser);
	await browser.close();
	for (const subject of Object.keys(checked))
		console.log(`${subject} checked ${checked[subject]}`);
}

main().catch((error) => { console.log(`browser: ${error.stack}`); process.exit(1); });
