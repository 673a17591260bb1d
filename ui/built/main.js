import { h, render } from "../vendor/preact.js";
import { Table } from "./sheets/table.js";
import { open } from "./store/link.js";
open();
render(/* @__PURE__ */ h(Table, null), document.body);
