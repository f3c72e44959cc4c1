// A refresh by the page itself would lose the place after the # that a visitor came with.
const link = document.querySelector("a[data-moved]");
if (link) location.replace(link.href + location.hash);
