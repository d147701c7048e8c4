//! Bodies of devices that are a terminal of their circuit, and the metal that they are bolted to.

use super::{among::Among, build::Builder, ids::PortId, items::PortKind};
use crate::{format::rules, text::Text};

impl Builder {
    /// What each body is bolted to, once all devices are there.
    pub(super) fn bodies(&mut self) {
        for (body, text) in std::mem::take(&mut self.bodies) {
            let metal = self.metal(body, &text);
            self.model.ports[body].body = metal;
        }
    }

    /// The stud or point that is written as `device.port`; notes a mistake where there is none.
    fn metal(&mut self, body: PortId, text: &Text) -> Option<PortId> {
        let written = self.model.names.text(text.value).to_owned();
        let (first, second) = match written.split_once('.') {
            Some((first, second)) => (first, Some(second)),
            None => (written.as_str(), None),
        };
        let Some(device) = self.devices.find(&self.model.names, first) else {
            let finding = self.unknown(Among::Devices, "device", first, text.span);
            self.findings.push(finding);
            return None;
        };
        let Some(second) = second else {
            self.findings.push(
                rules::UNEXPECTED_VALUE
                    .finding(text.span, format!("`{written}` is a device, and `body` names a point of one"))
                    .label("which stud or point?")
                    .help(format!("name the metal too: `{written}.PORT`")),
            );
            return None;
        };
        let found = self.model.names.find(second).and_then(|name| self.ports.get(&(device, name)).copied());
        let Some(port) = found else {
            let finding = self.unknown(Among::Ports(device), &format!("port of `{first}` called"), second, text.span);
            self.findings.push(finding);
            return None;
        };
        let (what, help) = match self.model[port].kind {
            PortKind::Connector(_) => ("a connector", "name a stud or another body that is metal of that device"),
            _ if device == self.model[body].device => ("of the same device", "name the metal that the device is bolted to"),
            PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => return Some(port),
        };
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(text.span, format!("`{written}`, which `{}` is bolted to, is {what}", self.model.port_name(body)))
                .label("not metal to bolt it to")
                .help(help),
        );
        None
    }
}
