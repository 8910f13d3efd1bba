//! `nightdraw open`: the bench page.

use std::net::SocketAddr;

use tongue::say;

use crate::{
    cli::OpenArguments,
    commands::data_folder,
    failure::Failure,
    output::{print, remark},
};

pub(crate) fn run(arguments: &OpenArguments) -> Result<(), Failure> {
    let config = web::Config {
        data_dir: data_folder(arguments.data.as_deref())?,
        port: arguments.port,
        lan: arguments.lan,
    };
    let start_browser = !arguments.no_browser;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|error| {
            Failure::input("threads", say::cli::cannot_start(error.to_string()), "")
        })?;
    let announce = move |address: SocketAddr, code: Option<&str>| {
        let page = format!("http://{address}/");
        // A closed standard output is no reason to stop serving.
        let _ = print(&format!("{page}\n"));
        if let Some(code) = code {
            remark(format!("nightdraw: {}", say::cli::let_phone_in(code)));
        }
        if start_browser && open::that_detached(&page).is_err() {
            remark(format!("nightdraw: {}", say::cli::no_browser()));
        }
    };
    runtime
        .block_on(web::serve_announcing(config, announce))
        .map_err(|error| Failure::input(error.kind(), error.message(), error.hint()))
}
