//! `nightdraw open`: the bench page.

use std::net::SocketAddr;

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
        .map_err(|error| Failure::input("threads", format!("cannot start: {error}"), ""))?;
    let announce = move |address: SocketAddr, code: Option<&str>| {
        let page = format!("http://{address}/");
        // A closed standard output is no reason to stop serving.
        let _ = print(&format!("{page}\n"));
        if let Some(code) = code {
            remark(&format!(
                "nightdraw: to let a phone in, open this machine's address on it and enter {code}"
            ));
        }
        if start_browser && open::that_detached(&page).is_err() {
            remark("nightdraw: no browser could be started here; open the address above yourself");
        }
    };
    runtime
        .block_on(web::serve_announcing(config, announce))
        .map_err(|error| Failure::input(error.kind(), error.message(), error.hint()))
}
