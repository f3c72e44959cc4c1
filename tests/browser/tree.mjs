// The accessibility tree of a page as the browser hands it to a screen reader, as text: a line a node.

/** Roles of boxes and runs of text that say nothing beyond their parent's name or content. */
const SILENT = new Set(["generic", "none", "InlineTextBox", "LineBreak", "LayoutTable", "LayoutTableRow", "LayoutTableCell"]);
/** What a node tells beside role and name. */
const TOLD = ["level", "checked", "pressed", "expanded", "disabled", "live", "url"];

/** The tree below the first node of a role. */
export async function tree(page, role = "main") {
  const wire = await page.context().newCDPSession(page);
  await wire.send("Accessibility.enable");
  const { nodes } = await wire.send("Accessibility.getFullAXTree");
  await wire.detach();
  const byId = new Map(nodes.map((node) => [node.nodeId, node]));
  const lines = [];
  const tell = (node, depth) => {
    const kind = node.role?.value ?? "";
    const name = (node.name?.value ?? "").replace(/\s+/g, " ").trim();
    const shown = !node.ignored && !SILENT.has(kind) && !(kind === "StaticText" && name === "");
    if (shown) {
      const more = (node.properties ?? [])
        .filter((p) => TOLD.includes(p.name) && p.name !== "url" && p.value.value !== false && p.value.value !== "off")
        .map((p) => ` ${p.name}=${p.value.value}`);
      lines.push(`${"  ".repeat(depth)}${kind}${name ? ` “${name}”` : ""}${more.join("")}`);
    }
    // The words of a named link, button or picture are its name already.
    const own = kind === "StaticText" || (shown && name && ["link", "button", "image", "radio", "img", "heading"].includes(kind));
    if (!own) for (const id of node.childIds ?? []) if (byId.has(id)) tell(byId.get(id), depth + (shown ? 1 : 0));
  };
  const start = nodes.find((node) => node.role?.value === role && !node.ignored);
  if (start) tell(start, 0);
  return lines.join("\n") + "\n";
}
