import { h, render } from "../vendor/preact.js";
import { Table } from "./sheets/table.js";
import { open } from "./store/link.js";
import { seeToCuts } from "./store/owed.js";
open();
seeToCuts();
render(/* @__PURE__ */ h(Table, null), document.body);
