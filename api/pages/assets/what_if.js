// Shows the answer anew while figures are changed: it asks for the same page that
// the form would lead to, and puts its answer in the place of the old one. Without
// this script the form does the same by itself.
"use strict";
(() => {
	const form = document.getElementById("what-if");
	const pause = 500; // ms between the last key and the question
	let timer = 0;
	let asking = null;

	// takes what is wrong with a field from the answer
	const mark = (field, answered) => {
		const input = field.querySelector("input, select");
		const other = answered.querySelector("input, select");
		for (const name of ["aria-invalid", "aria-describedby"]) {
			if (other.hasAttribute(name)) {
				input.setAttribute(name, other.getAttribute(name));
			} else {
				input.removeAttribute(name);
			}
		}
		field.querySelector(".fault")?.remove();
		const fault = answered.querySelector(".fault");
		if (fault) {
			input.before(fault);
		}
	};

	const ask = async () => {
		asking?.abort();
		asking = new AbortController();
		const region = document.getElementById("trial");
		const address = form.action.split("?")[0] + "?" + new URLSearchParams(new FormData(form));
		region.setAttribute("aria-busy", "true");
		try {
			const answer = await fetch(address, {signal: asking.signal, headers: {Accept: "text/html"}});
			const page = new DOMParser().parseFromString(await answer.text(), "text/html");
			const fresh = page.getElementById("trial");
			if (!fresh) {
				throw new Error("no answer");
			}
			region.replaceChildren(...fresh.childNodes);
			const fields = page.querySelectorAll("#what-if .field");
			form.querySelectorAll(".field").forEach((field, i) => mark(field, fields[i]));
			history.replaceState(null, "", address);
			region.removeAttribute("aria-busy");
		} catch (wrong) {
			if (wrong.name !== "AbortError") {
				form.submit();
			}
		}
	};

	form.addEventListener("input", () => {
		clearTimeout(timer);
		timer = setTimeout(ask, pause);
	});
	form.addEventListener("submit", (event) => {
		event.preventDefault();
		clearTimeout(timer);
		ask();
	});
})();
