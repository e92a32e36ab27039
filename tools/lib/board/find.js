/* find.js - finds an id in the index as it is typed; the index is there without it. */
(() => {
	const main = document.getElementById("main");
	const items = [...main.querySelectorAll(".plain li")];
	const box = document.createElement("div");
	const label = document.createElement("label");
	const input = document.createElement("input");
	const said = document.createElement("p");
	box.className = "find";
	input.type = "search";
	input.autocomplete = "off";
	input.spellcheck = false;
	label.append("Id, or part of it ", input);
	said.setAttribute("role", "status");
	said.className = "note";
	box.append(label, said);
	main.prepend(box);
	const look = () => {
		const wanted = input.value.trim().toLowerCase();
		let n = 0;
		for (const item of items) {
			item.hidden = !item.textContent.toLowerCase().includes(wanted);
			n += !item.hidden;
		}
		for (const part of main.querySelectorAll(".part"))
			part.hidden = !part.querySelector(".plain li:not([hidden])");
		said.textContent = wanted ? n + " of " + items.length + " ids" : "";
	};
	input.addEventListener("input", look);
	input.addEventListener("keydown", (event) => {
		const first = items.find((item) => !item.hidden);
		if (event.key === "Enter" && input.value.trim() && first)
			location.href = first.querySelector("a").getAttribute("href");
	});
	look();
})();
