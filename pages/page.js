// A table or chart wider than its page scrolls sideways: it takes the focus, so that the arrow keys move it.
(() => {
  const WIDE = ".stMarkdown:has(table), [class*=st-key-wide_] [data-testid=stFullScreenFrame]";
  const label = "LABEL";
  const mark = () => document.querySelectorAll(WIDE).forEach((node) => {
    const wide = node.scrollWidth > node.clientWidth + 1;
    if (wide === node.hasAttribute("tabindex")) return;
    for (const [name, value] of [["tabindex", "0"], ["role", "group"], ["aria-label", label]]) {
      if (wide) node.setAttribute(name, value);
      else node.removeAttribute(name);
    }
  });
  // The framework calls the field of a file a mere picture, though it has a name and takes the focus: it is a group.
  const group = () => document.querySelectorAll("[data-testid=stFileUploaderDropzone][role=presentation]")
    .forEach((node) => node.setAttribute("role", "group"));
  const both = () => { mark(); group(); };
  let due = 0;
  const soon = () => { due ||= setTimeout(() => { due = 0; both(); }, 150); };
  both();
  if (window.coresetTables) return;
  window.coresetTables = true;
  // The link that skips to the page leads past its bar too: what is done on the page is a few stops behind its title.
  document.addEventListener("click", (event) => {
    if (!event.target.closest?.("[data-testid=stSkipToContent]")) return;
    setTimeout(() => {
      const title = document.querySelector(".stMain h1");
      if (!title) return;
      title.tabIndex = -1;
      title.focus();
    }, 50);
  }, true);
  new MutationObserver(soon).observe(document.body, { childList: true, subtree: true });
  window.addEventListener("resize", soon);
})();
