document.documentElement.classList.add("scripted");
export {};
