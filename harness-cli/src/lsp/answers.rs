//! Requests and their answers: which method is answered by what.

use super::{
    actions, complete, hover,
    names::{self, Refusal},
    outline,
    server::Server,
};
use lsp_server::{ErrorCode, Request, Response};
use lsp_types::request::{
    CodeActionRequest, Completion, DocumentHighlightRequest, DocumentSymbolRequest, FoldingRangeRequest, GotoDefinition,
    GotoImplementation, GotoTypeDefinition, HoverRequest, PrepareRenameRequest, References, Rename, Request as Method,
    WorkspaceSymbolRequest,
};

/// Answers a request.
pub(super) fn answer(server: &mut Server<'_>, request: Request) -> Response {
    match request.method.as_str() {
        HoverRequest::METHOD => of::<HoverRequest>(server, request, |server, params| Ok(hover::hover(server, &params))),
        Completion::METHOD => of::<Completion>(server, request, |server, params| Ok(complete::complete(server, &params))),
        GotoDefinition::METHOD => of::<GotoDefinition>(server, request, |server, params| Ok(names::definition(server, &params))),
        GotoTypeDefinition::METHOD => {
            of::<GotoTypeDefinition>(server, request, |server, params| Ok(names::kind(server, &params)))
        }
        GotoImplementation::METHOD => {
            of::<GotoImplementation>(server, request, |server, params| Ok(names::opposite(server, &params)))
        }
        References::METHOD => of::<References>(server, request, |server, params| Ok(names::uses(server, &params))),
        DocumentHighlightRequest::METHOD => {
            of::<DocumentHighlightRequest>(server, request, |server, params| Ok(names::highlights(server, &params)))
        }
        PrepareRenameRequest::METHOD => {
            of::<PrepareRenameRequest>(server, request, |server, params| names::prepare(server, &params))
        }
        Rename::METHOD => of::<Rename>(server, request, |server, params| names::rename(server, &params)),
        DocumentSymbolRequest::METHOD => {
            of::<DocumentSymbolRequest>(server, request, |server, params| Ok(outline::symbols(server, &params)))
        }
        WorkspaceSymbolRequest::METHOD => {
            of::<WorkspaceSymbolRequest>(server, request, |server, params| Ok(outline::search(server, &params)))
        }
        FoldingRangeRequest::METHOD => {
            of::<FoldingRangeRequest>(server, request, |server, params| Ok(outline::folding(server, &params)))
        }
        CodeActionRequest::METHOD => {
            of::<CodeActionRequest>(server, request, |server, params| Ok(actions::actions(server, &params)))
        }
        method => {
            let why = format!("`{method}` is not a request that this server answers");
            Response::new_err(request.id, ErrorCode::MethodNotFound as i32, why)
        }
    }
}

fn of<M: Method>(
    server: &mut Server<'_>,
    request: Request,
    answer: impl FnOnce(&mut Server<'_>, M::Params) -> Result<M::Result, Refusal>,
) -> Response {
    let id = request.id;
    match serde_json::from_value::<M::Params>(request.params) {
        Err(error) => Response::new_err(id, ErrorCode::InvalidParams as i32, error.to_string()),
        Ok(params) => match answer(server, params) {
            Ok(result) => Response::new_ok(id, result),
            Err((code, why)) => Response::new_err(id, code as i32, why),
        },
    }
}
