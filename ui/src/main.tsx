import { h, render } from "../vendor/preact.js";
import { Table } from "./sheets/table.js";
import { open } from "./store/link.js";

open();
render(<Table />, document.body);
